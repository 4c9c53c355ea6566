#!/bin/sh
# Cargo's RUSTC_WRAPPER for fuzzing: the program's own crates and the readers that it hands files to are
# compiled with coverage counters and debug assertions; all else, above all the Wasm engine, as it is
# always compiled, so that it need not be compiled anew and does not drown the coverage.
#
# The flags are those that cargo-fuzz gives to every crate.
name=
kind=
optimized=
previous=
for word; do
    case $previous in
    --crate-name) name=$word ;;
    --crate-type) kind=$word ;;
    esac
    # What runs while compiling is not optimized, and has no counters to link to.
    [ "$word" = opt-level=3 ] && optimized=yes
    previous=$word
done
case $optimized$kind in
yesproc-macro) exec "$@" ;;
yes*) ;;
*) exec "$@" ;;
esac
case $name in
hoopwright* | usvg | roxmltree | svgtypes | simplecss | kurbo | jsonc_parser | csv_core | tar | minisign_verify | csscolorparser)
    exec "$@" --cfg fuzzing \
        -C debug-assertions -C overflow-checks -C codegen-units=1 \
        -C passes=sancov-module \
        -C llvm-args=-sanitizer-coverage-level=4 \
        -C llvm-args=-sanitizer-coverage-inline-8bit-counters \
        -C llvm-args=-sanitizer-coverage-pc-table \
        -C llvm-args=-sanitizer-coverage-trace-compares
    ;;
*) exec "$@" ;;
esac
