#!/bin/sh
# Golden cases of the whole program, one folder each.
#
#   tests/cases/run.sh PROGRAM [--update] [NAME...]
#
# command  one shell line that calls "$RUSHLIGHT", run inside the folder; keys stand in ../keys
# input    its standard input, or nothing
# stdout, stderr, status    what must come of it; --update writes them anew: read the diff
#
# What a command writes as JSON lines is also looked at by Python's JSON parser, where there is one.
set -u

usage() { echo "usage: $0 PROGRAM [--update] [NAME...]" >&2; exit 2; }
[ $# -ge 1 ] || usage
case $1 in
*/*) RUSHLIGHT=$(cd "$(dirname "$1")" && pwd)/$(basename "$1") ;;
*) RUSHLIGHT=$(command -v "$1") || usage ;;
esac
[ -x "$RUSHLIGHT" ] || { echo "$0: cannot run $1" >&2; exit 2; }
shift
update=
if [ "${1:-}" = --update ]; then
    update=1
    shift
fi
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM
LC_ALL=C.UTF-8 WORK=$work
export RUSHLIGHT LC_ALL WORK
python=$(command -v python3 || :)

passed=0 failed=0
fail() { failed=$((failed + 1)); echo "FAILED cases/$1: $2"; }

[ $# -gt 0 ] || set -- $(cd "$here" && ls -d */ | sed 's:/$::')
for name; do
    folder=$here/$name
    if [ ! -f "$folder/command" ]; then
        [ "$name" = keys ] || fail "$name" "it has no command"
        continue
    fi
    input=/dev/null
    [ -f "$folder/input" ] && input=$folder/input
    (cd "$folder" && sh ./command) <"$input" >"$work/stdout" 2>"$work/stderr"
    echo $? >"$work/status"
    if [ "$update" ]; then
        cp "$work/stdout" "$work/stderr" "$work/status" "$folder/"
    fi
    differs=
    for part in stdout stderr status; do
        diff -u "$folder/$part" "$work/$part" || differs="$differs $part"
    done
    if [ "$differs" ]; then
        fail "$name" "another$differs"
        continue
    fi
    if [ "$python" ] && grep -q '^{"schema"' "$work/stdout"; then
        if ! "$python" -c '
import json, sys
for line in sys.stdin.buffer:
    if line.startswith(b"{\"schema\""):
        json.loads(line.decode("utf-8"))' <"$work/stdout"; then
            fail "$name" "a line that is not JSON"
            continue
        fi
    fi
    passed=$((passed + 1))
done
# A few of the golden numbers, reckoned out a second time from the model.
if [ "$python" ] && [ -f "$here/rank-by-hand/stdout" ]; then
    if "$python" "$here/by_hand.py" >"$work/by-hand"; then
        passed=$((passed + 1))
    else
        cat "$work/by-hand"
        fail by_hand.py "the numbers of rank-by-hand are not the model's"
    fi
fi

echo "cases: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
