#!/bin/sh
# Keys and observation lines that are made to hurt: each must end in time, with a diagnostic at the
# right place and the right exit status, never by a signal, and without a control character.
#
#   tests/hostile/run.sh PROGRAM
#
# A second of the processor is allowed; SLOW=10 allows ten, for a build with sanitizers. KEEP=FOLDER keeps what is made.
set -u

[ $# -eq 1 ] || { echo "usage: $0 PROGRAM" >&2; exit 2; }
case $1 in
*/*) program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1") ;;
*) program=$(command -v "$1") || exit 2 ;;
esac
[ -x "$program" ] || { echo "$0: cannot run $1" >&2; exit 2; }
command -v python3 >/dev/null || { echo "$0: python3 is needed" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
slow=${SLOW:-1}
if [ "${KEEP:-}" ]; then
    work=$KEEP
    mkdir -p "$work" || exit 2
else
    work=$(mktemp -d) || exit 2
    trap 'rm -rf "$work"' EXIT
    trap 'exit 130' INT TERM
fi
LC_ALL=C.UTF-8
# What a sanitizer finds must not look like the program's own status 1.
ASAN_OPTIONS=exitcode=99:${ASAN_OPTIONS:-} UBSAN_OPTIONS=exitcode=99:${UBSAN_OPTIONS:-}
export LC_ALL ASAN_OPTIONS UBSAN_OPTIONS

mkdir "$work/made" && python3 "$here/make.py" "$work/made" || exit 2
cd "$work/made" || exit 2

failed=0 passed=0
fail() { failed=$((failed + 1)); echo "FAILED hostile/$1: $2"; }

# run NAME STATUSES COMMAND...: the output goes to ../out and ../err
run() {
    name=$1 wanted=$2
    shift 2
    times >"$work/before"
    timeout $((30 * slow)) "$@" >"$work/out" 2>"$work/err" </dev/null
    status=$?
    times >"$work/after"
    took=$(cat "$work/before" "$work/after" | awk -F'[ms ]+' '
        NR % 2 == 0 { ms = 60000 * ($1 + $3) + 1000 * ($2 + $4); spent = ms - before; before = ms }
        END { printf "%d", spent }')
    case $status in
    124) fail "$name" "did not end: $*"; return 1 ;;
    12[5-9] | 1[3-9]? | 2??) fail "$name" "ended by a signal or a fault, status $status: $*"; head -n 20 "$work/err"; return 1 ;;
    esac
    case " $wanted " in
    *" $status "*) ;;
    *) fail "$name" "status $status, not $wanted: $*"; head -n 5 "$work/out" "$work/err" | cut -c 1-300; return 1 ;;
    esac
    [ "$took" -le $((1000 * slow)) ] || { fail "$name" "took $took ms: $*"; return 1; }
    if cat "$work/out" "$work/err" | LC_ALL=C tr -cd '\000-\011\013-\037\177' | LC_ALL=C grep -q .; then
        fail "$name" "a control character came out: $*"
        return 1
    fi
    # C1 and what turns the writing round: U+0080-009F, U+202A-202E, U+2066-2069
    if cat "$work/out" "$work/err" | LC_ALL=C grep -q "$hidden"; then
        fail "$name" "a hidden character came out: $*"
        return 1
    fi
    if [ "$(cat "$work/out" "$work/err" | wc -c)" -gt 8000000 ]; then
        fail "$name" "too much is said"
        return 1
    fi
    passed=$((passed + 1))
}
hidden=$(printf '\302[\200-\237]\\|\342\200[\252-\256]\\|\342\201[\246-\251]')

# says NAME PATTERN FILE
says() {
    grep -qE -e "$2" "$3" && return 0
    fail "$1" "nothing like $2 is said, but:"
    head -n 6 "$3" | cut -c 1-300
}

tab=$(printf '\t')
while IFS=$tab read -r kind file expect; do
    case $kind in
    key | key200)
        run "$file" 1 "$program" check "$file" && says "$file" "$expect" "$work/out"
        if [ "$kind" = key200 ]; then
            found=$(grep -c '\[unknown-state\]$' "$work/out")
            [ "$found" -eq 200 ] || fail "$file" "$found of 200 wrong names are reported"
        fi
        run "$file" 3 "$program" rank --key "$file" lines.empty && says "$file" "$expect" "$work/err"
        [ -s "$work/out" ] && fail "$file" "rank wrote to standard output"
        run "$file" 3 "$program" about --key "$file"
        ;;
    alike)
        run "$file" 0 "$program" check "$file" && says "$file" "$expect" "$work/out"
        ;;
    any)
        # Whether it is good or not: check and rank must agree.
        run "$file" "0 1" "$program" check "$file" || continue
        if grep -q '^[^ ].*: error: .*\]$' "$work/out"; then
            # A worked sighting that fails does not keep a key from ranking.
            run "$file" "0 1 3" "$program" rank --key "$file" lines.empty
        else
            run "$file" "0 1" "$program" rank --key "$file" lines.empty
        fi
        ;;
    lines)
        run "$file" 1 "$program" rank --key good.yaml "$file" && says "$file" "$expect" "$work/err"
        run "$file" 1 "$program" rank --key good.yaml --out jsonl "$file"
        python3 -c '
import json, sys
for line in sys.stdin.buffer:
    json.loads(line.decode("utf-8"))' <"$work/out" || fail "$file" "a line that is not JSON"
        ;;
    csv | jsonl)
        run "$file" 1 "$program" rank --key good.yaml --in "$kind" "$file" && says "$file" "$expect" "$work/err"
        ;;
    sow)
        # The rest of the table is a key that loads.
        run "$file" 1 "$program" sow "$file" && says "$file" "$expect" "$work/err"
        if [ -s "$work/out" ]; then
            cp "$work/out" made.yaml
            run "the key of $file" 0 "$program" rank --key made.yaml lines.empty
        fi
        ;;
    any-lines)
        run "$file" "0 1" "$program" rank --key good.yaml "$file"
        ;;
    finite)
        run "$file" "0 1" "$program" rank --key good.yaml --out jsonl "$file"
        if grep -qiE '[:,](-?nan|-?inf)' "$work/out"; then
            fail "$file" "a number that is none came out"
        fi
        ;;
    esac
done <list

# The lines again as what they are not: tables and JSON.
for file in line-*.txt number-*.txt; do
    run "$file as csv" "0 1" "$program" rank --key good.yaml --in csv "$file"
    run "$file as jsonl" "0 1" "$program" rank --key good.yaml --in jsonl "$file"
done

# The same and more as tables to sow.
for file in line-*.txt table-*.csv soup-1*.yaml; do
    run "sow $file" "0 1" "$program" sow "$file"
done

# The lines again as answers in a conversation.
for file in line-*.txt number-*.txt; do
    run "ask $file" 0 sh -c '"$1" ask --key good.yaml <"$2"' sh "$program" "$file"
done

echo "hostile: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
