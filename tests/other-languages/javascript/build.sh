#!/usr/bin/env bash
# Makes motif-line.wasm of the JavaScript source and the contract:
#
#     build.sh FOLDER
#
# Needs node from version 20 on, and npm.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$1"
out=$(cd "$1" && pwd)

cp "$here/package.json" "$here/package-lock.json" "$here/build.mjs" "$here/motif-line.js" "$out"
cd "$out"
npm ci --no-audit --no-fund --ignore-scripts
node build.mjs "$here/../../../sdk/wit" "$out/motif-line.wasm"
