#!/bin/sh
# How fast rushlight is, as one table, each row against a reference that does the same work on the same input:
#
#   sh tests/bench/run.sh [BUILD]      BUILD is a folder for the build, build-bench unless told
#
# Installs what is missing (Debian), builds, makes the inputs from seeds in a temporary folder, and measures for some
# minutes. It wants a machine that does nothing else; figures are medians of runs that take turns.
set -e
root=$(cd "$(dirname "$0")/../.." && pwd)
build=${1:-$root/build-bench}
sh "$root/tests/prepare.sh" python3-numpy python3-scipy python3-sklearn
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM
{ cmake -S "$root" -B "$build" -DCMAKE_BUILD_TYPE=Release -DRUSHLIGHT_TESTS=ON &&
    cmake --build "$build" -j "$(nproc)"; } >"$work/log" 2>&1 || {
    cat "$work/log"
    exit 1
}
# Each reference runs on one thread, as what it is measured against does.
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 MKL_NUM_THREADS=1
/usr/bin/python3 "$root/tests/bench/make_key.py" "$work/large" --lines 1000
"$build/tests/make_lines" "$root/keys/odonata-adults" 200000 >"$work/lines"
/usr/bin/python3 "$root/tests/bench/measure.py" "$build" "$work"
