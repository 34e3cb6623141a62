#!/bin/sh
# One folder for each slug of include/rushlight/diagnostic.h, with a small key that shows the fault
# and what is said about it.
#
#   tests/diagnostics/run.sh PROGRAM             compares, and prints what differs
#   tests/diagnostics/run.sh PROGRAM --update    writes expected.txt and status.txt anew; read the diff
#
# A folder holds key.yaml (and its parts), expected.txt and status.txt. With a lines.txt it is a fault
# of an observer: expected.txt is then what `rank` (with the words of options.txt) says on standard error, else it is the output of
# `check`. What is weak in every key so small is shown in one folder only: its own.
set -u

usage() { echo "usage: $0 PROGRAM [--update]" >&2; exit 2; }
[ $# -ge 1 ] && [ $# -le 2 ] || usage
[ $# -eq 1 ] || [ "$2" = --update ] || usage
update=${2:-}
case $1 in
*/*) program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1") ;;
*) program=$(command -v "$1") || usage ;;
esac
[ -x "$program" ] || { echo "$0: cannot run $1" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
header=$here/../../include/rushlight/diagnostic.h
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM
LC_ALL=C.UTF-8
export LC_ALL

failed=0 passed=0
fail() { failed=$((failed + 1)); echo "FAILED diagnostics/$1: $2"; }

slugs=$(sed -n 's/^ *X([A-Z0-9_]*, "\([a-z0-9-]*\)".*/\1/p' "$header")
[ -n "$slugs" ] || { echo "$0: no slugs in $header" >&2; exit 2; }

weak='gap hardly-apart outdone-character unused-state unscored no-source unused-source idle-character no-tip forms-alike'
for slug in $slugs; do
    allow=
    for other in $weak; do
        [ "$other" = "$slug" ] || allow="$allow --allow $other"
    done
    # Memory that runs out is tested by failing every allocation in turn.
    [ "$slug" = out-of-memory ] && continue
    folder=$here/$slug
    if [ ! -f "$folder/key.yaml" ]; then
        fail "$slug" "this slug has no fixture"
        continue
    fi
    if [ -f "$folder/lines.txt" ]; then
        options=$(cat "$folder/options.txt" 2>/dev/null)
        (cd "$folder" && "$program" rank --key key.yaml $options lines.txt) >"$work/other" 2>"$work/said"
        status=$?
    else
        (cd "$folder" && "$program" check $allow key.yaml) >"$work/said" 2>"$work/other"
        status=$?
        if [ -s "$work/other" ]; then
            fail "$slug" "check wrote to standard error"
            cat "$work/other"
            continue
        fi
    fi
    if [ "$update" ]; then
        cp "$work/said" "$folder/expected.txt"
        echo "$status" >"$folder/status.txt"
    fi
    if ! grep -qF "[$slug]" "$folder/expected.txt"; then
        fail "$slug" "expected.txt does not show this slug"
    elif ! diff -u "$folder/expected.txt" "$work/said"; then
        fail "$slug" "something else is said"
    elif [ "$status" != "$(cat "$folder/status.txt")" ]; then
        fail "$slug" "exit status $status, not $(cat "$folder/status.txt")"
    else
        passed=$((passed + 1))
    fi
done

for folder in "$here"/*/; do
    name=$(basename "$folder")
    echo "$slugs" | grep -qxF "$name" || fail "$name" "no slug has this name"
done

echo "diagnostics: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
