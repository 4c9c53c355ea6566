#!/usr/bin/env bash
# Fetches shapes to fill from the npm registry into target/open-sets: a script typeface (Pacifico,
# OFL-1.1) and the outlines of the countries (Natural Earth, public domain, as the ISC package
# world-atlas carries them). Needs npm. Nothing of them is kept in this repository.
set -euo pipefail
cd "$(dirname "$0")/../.."

for tool in npm sha256sum tar; do
    command -v "$tool" >/dev/null || { echo "$tool is missing: install it, then run this again." >&2; exit 1; }
done

mkdir -p target/open-sets
cd target/open-sets

# fetch PACKAGE VERSION ARCHIVE SHA256 MEMBER FILE: leaves FILE in the current folder.
fetch() {
    if ! sha256sum --check --status <<<"$4  $3" 2>/dev/null; then
        npm pack --silent "$1@$2" >/dev/null
        sha256sum --check --quiet <<<"$4  $3"
    fi
    tar --extract --gzip --to-stdout --file "$3" "package/$5" >"$6"
}

fetch @expo-google-fonts/pacifico 0.4.1 expo-google-fonts-pacifico-0.4.1.tgz \
    0db305f7c2a715a876071a53dc42b847e73d5072ca0853e1e4991164ab06d83f \
    400Regular/Pacifico_400Regular.ttf script-typeface.ttf
fetch world-atlas 2.0.2 world-atlas-2.0.2.tgz \
    032e7765f2ce00edaeafec23ff22bc3b77e42987c257da944cc585b452c05b97 \
    countries-50m.json countries-50m.json
