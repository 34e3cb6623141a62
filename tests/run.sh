#!/bin/sh
# Installs what is missing, builds and runs every test: sh tests/run.sh [CMAKE-OPTION...]
# BUILD is the folder to build in (build-tests unless told).
set -e
root=$(cd "$(dirname "$0")/.." && pwd)
build=${BUILD:-$root/build-tests}
log=$(mktemp)
jobs=$(nproc 2>/dev/null || echo 1)
sh "$root/tests/prepare.sh"
cmake -S "$root" -B "$build" "$@" >"$log" 2>&1 || { cat "$log"; exit 1; }
rm -f "$log"
cmake --build "$build" -j "$jobs" | grep -vE '^\[ *[0-9]+%\]|^(Consolidate|gmake|make)' || true
cmake --build "$build" -j "$jobs" >/dev/null
cd "$build"
exec ctest --output-on-failure -j "$jobs"
