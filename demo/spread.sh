#!/bin/sh
# A season's file spread over processes by GNU parallel, an existing tool, and the same output as a single run, byte
# for byte: sh demo/spread.sh [LINES]. Needs the program on the PATH, as demo/run.sh has it, and the package parallel.
#
# Over hosts: add `--sshlogin :,host1,host2` (and keep --keep-order); each needs the program, and nothing else.
# Under a cluster's batch scheduler: an array job, of which task N ranks lines N x 1000 + 1 and on with --first-line.
# In a distributed data engine: `rushlight rank --in jsonl --out jsonl` is the command of its pipe operator.
set -e
cd "$(dirname "$0")"
lines=${1:-20000}
chunk=1000
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM

# The invented afternoon over and over, its ids counted on.
grep '^id:' sightings.txt | awk -v count="$lines" '
    { sub(/^id: [^;]*/, ""); seen[NR] = $0 }
    END { for (i = 1; i <= count; i++) printf "id: MP-%06d%s\n", i, seen[(i - 1) % NR + 1] }' >"$work/season.txt"

rank="rushlight rank --out jsonl --top 3 --next 1"
$rank <"$work/season.txt" >"$work/single.jsonl"
# One job each, since parallel fills the cores; each piece is told which line it begins with.
parallel --pipe --keep-order -N "$chunk" "$rank --jobs 1 --first-line {= \$_ = (seq() - 1) * $chunk + 1 =}" \
    <"$work/season.txt" >"$work/spread.jsonl"
cmp "$work/single.jsonl" "$work/spread.jsonl"
echo "$lines lines in pieces of $chunk: $(wc -c <"$work/spread.jsonl") bytes, the same as those of a single run"
