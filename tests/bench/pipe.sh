#!/bin/sh
# The pipe `rank --out jsonl --top 3 --next 0` on the adult key, against a numpy program that writes the same JSON:
#
#   tests/bench/pipe.sh BUILD [LINES]      LINES is 200000
#
# BUILD is a build folder with the tests in it. Ratios are of processor time on one thread, so that they hold on a
# busy machine too; the gain of a second job is a ratio of time on the clock, and wants a quiet one. Debian:
# python3-numpy python3-scipy.
set -e
[ $# -ge 1 ] || { echo "usage: $0 BUILD [LINES]" >&2; exit 2; }
build=$1 count=${2:-200000}
here=$(cd "$(dirname "$0")" && pwd)
key=$here/../../keys/odonata-adults
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM

"$build/tests/make_lines" "$key" "$count" >"$work/lines"
rank() { "$build/rushlight" rank --key "$key" --out jsonl --top 3 --next 0 "$@" <"$work/lines"; }
rank --jobs 1 >"$work/out"
rank --jobs 2 | cmp - "$work/out"
/usr/bin/python3 - "$build/rushlight" "$key" "$work/lines" >"$work/rank" <<'EOF'
"""Processor and clock time of rank with one job and with two, the least of five."""
import os, subprocess, sys, time
program, key, lines = sys.argv[1:]
for jobs in ("1", "2"):
    least = [1e9, 1e9]
    for _ in range(5):
        before, start = os.times(), time.perf_counter()
        with open(lines, "rb") as file:
            subprocess.run([program, "rank", "--key", key, "--out", "jsonl", "--top", "3", "--next", "0", "--jobs", jobs],
                           stdin=file, stdout=subprocess.DEVNULL, check=True)
        wall, after = time.perf_counter() - start, os.times()
        used = after.children_user - before.children_user + after.children_system - before.children_system
        least = [min(least[0], used), min(least[1], wall)]
    print(*least)
EOF
for how in json templates; do
    /usr/bin/python3 "$here/rank_numpy.py" "$build/tests/answer_tables" "$key" "$work/lines" --write $how --check "$work/out"
done >"$work/numpy"
"$build/tests/bench_pipe" "$key" "$work/lines"
cat "$work/numpy"
awk -v count="$count" '
    FNR == NR { used[FNR] = $1; wall[FNR] = $2; next }
    /microseconds a line/ { numpy[++found] = $(NF - 3) }
    END {
        mine = used[1] / count * 1e6
        printf "rank, one job: %.2f microseconds of the processor a line\n", mine
        printf "numpy by json.dumps / rank: %.1f; numpy by templates / rank: %.1f\n", numpy[1] / mine, numpy[2] / mine
        printf "one job / two jobs: %.2f on the clock; two jobs use %.2f of the processor time of one\n", wall[1] / wall[2], used[2] / used[1]
    }' "$work/rank" "$work/numpy"
