#!/bin/sh
# Fuzzes a target: tests/fuzz/run.sh svg -max_total_time=600
# What follows the target's name goes to libFuzzer. Needs no nightly compiler and no cargo-fuzz.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
target=$1
shift
# A folder of its own: what lies there has counters in it.
built=${FUZZ_TARGET_DIR:-$here/target}
RUSTC_WRAPPER=$here/instrumented-rustc.sh cargo build --release --locked \
    --manifest-path "$here/Cargo.toml" --bin "$target" --target-dir "$built"
mkdir -p "$here/corpus/$target" "$here/artifacts/$target"
exec "$built/release/$target" "$here/corpus/$target" \
    -artifact_prefix="$here/artifacts/$target/" -timeout=20 -rss_limit_mb=4096 -max_len=8192 "$@"
