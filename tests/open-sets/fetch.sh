#!/usr/bin/env bash
# Fetches two open sets of flat drawings from the npm registry and writes 300 of them, always the
# same, as SVG files into target/open-sets/svg. Needs node and npm. Nothing of them is kept in this
# repository: the sets are Fluent Emoji Flat (MIT) and FxEmojis (Apache-2.0).
set -euo pipefail
cd "$(dirname "$0")/../.."

for tool in node npm sha256sum tar; do
    command -v "$tool" >/dev/null || { echo "$tool is missing: install it, then run this again." >&2; exit 1; }
done

here=$PWD/tests/open-sets
mkdir -p target/open-sets
cd target/open-sets

# fetch SET VERSION SHA256: leaves SET.json in the current folder.
fetch() {
    local archive=iconify-json-$1-$2.tgz
    if ! sha256sum --check --status <<<"$3  $archive" 2>/dev/null; then
        npm pack --silent "@iconify-json/$1@$2" >/dev/null
        sha256sum --check --quiet <<<"$3  $archive"
    fi
    tar --extract --gzip --to-stdout --file "$archive" package/icons.json >"$1.json"
}

fetch fluent-emoji-flat 1.2.6 7d064769dee690815f823bc5bcc511d957198caf9f5edd8dd9c1aa48a6aeb175
fetch fxemoji 1.2.2 f3e72b3c59d05e1db03b7e308d55c0d05bd7ba3f625a90da1b79313c12858eef

node "$here/drawings.mjs" svg 150 fluent-emoji-flat.json fxemoji.json
