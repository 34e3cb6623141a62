#!/bin/sh
# Installs what is missing, builds the program, and takes it through its main job on the invented
# afternoon of sightings.txt: sh demo/run.sh
set -e
root=$(cd "$(dirname "$0")/.." && pwd)
build=${BUILD:-$root/build}
sh "$root/tests/prepare.sh" parallel
log=$(mktemp)
{ cmake -S "$root" -B "$build" -DRUSHLIGHT_TESTS=OFF && cmake --build "$build" -j "$(nproc)" &&
    cmake --install "$build" --prefix "$build/installed"; } >"$log" 2>&1 || {
    cat "$log"
    exit 1
}
rm -f "$log"
export PATH="$build/installed/bin:$PATH"
cd "$root/demo"

say() { printf '\n== %s\n\n' "$1"; }

say "What the key says of one mark: rushlight about spur"
rushlight about spur

say "A conversation beside the water, its answers from a file: rushlight ask <conversation.txt"
rushlight ask --date 2026-07-12 --set 'habitat: garden pond' <conversation.txt

say "One sighting as a JSON line: rushlight rank --out jsonl --top 1 --next 1"
grep MP-03 sightings.txt | rushlight rank --out jsonl --top 1 --next 1 --set 'habitat: garden pond; month: July'

say "The afternoon: rushlight rank --top 3 --next 1 --set 'habitat: garden pond; month: July' sightings.txt"
rushlight rank --top 3 --next 1 --set 'habitat: garden pond; month: July' sightings.txt

say "A season of 4000 lines over processes, with GNU parallel: sh spread.sh 4000"
sh spread.sh 4000

say "A program of our own, with the library: name_one.c"
libraries=$(dirname "$(find "$build/installed" -name librushlight.a)")
export PKG_CONFIG_PATH="$libraries/pkgconfig" LD_LIBRARY_PATH="$libraries"
cc name_one.c $(pkg-config --cflags --libs rushlight) -o "$build/name_one"
"$build/name_one" "$root/keys/odonata-adults" 'folded; red; about 35 mm'
