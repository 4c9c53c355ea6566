#!/usr/bin/env bash
# Makes bean-stitch.wasm of the C sources and the contract:
#
#     build.sh FOLDER
#
# Needs Rust for the bindings' generator, and clang and wasm-ld (Debian: apt-get install clang lld).
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$1"
out=$(cd "$1" && pwd)

# The contract in C: object_plugin.h, object_plugin.c, and an object file that carries its type.
cargo run --quiet --release --locked --manifest-path "$here/bindings/Cargo.toml" --target-dir "$out/target" -- \
    "$here/../../../sdk/wit" object-plugin "$out/bindings"

clang --target=wasm32-unknown-unknown -ffreestanding -fno-builtin -nostdlib -O2 -Wall -Wextra -Werror \
    -Wno-unused-parameter -I "$here/libc" -I "$out/bindings" -I "$here" \
    -Wl,--no-entry -Wl,--strip-debug \
    "$here/bean_stitch.c" "$here/settings.c" "$here/libc/memory.c" \
    "$out/bindings/object_plugin.c" "$out/bindings/object_plugin_component_type.o" \
    -o "$out/bean-stitch.wasm"
wc -c "$out/bean-stitch.wasm"
