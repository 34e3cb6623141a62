#!/bin/sh
# The shared library shows what the headers promise, all of it and nothing else, each name with its version.
. "$(dirname "$0")/common.sh"
has nm && has readelf || skip "nm and readelf are of binutils"
library=$build/librushlight.so
[ -e "$library" ] || skip "no ELF library"

interface=$("$build/rushlight" --version | sed -E 's/rushlight (0\.[0-9]+|[0-9]+).*/\1/')
same "the library's own name" "librushlight.so.$interface" \
    "$(readelf -d "$library" | sed -n 's/.*SONAME.*\[\(.*\)\].*/\1/p')"

cat "$root"/include/rushlight/*.h "$build"/include/rushlight/*.h | grep -v '^ *#' | tr '\n' ' ' | grep -oE 'RUSH_PUBLIC [^(;]*\(' |
    sed -E 's/.*[ *](rush_[a-z0-9_]+)\($/\1/' | sort >"$work/promised"
nm -D --defined-only "$library" | awk '$2 != "A" { print $3 }' | sort >"$work/shown"
[ -s "$work/promised" ] || fail "the headers promise nothing"
# A header may come before what it promises: that is told, and is no fault of the library's making.
nm --defined-only -g "$build/librushlight.a" | awk '{ print $3 }' | sort -u | comm -12 - "$work/promised" >"$work/made"
comm -13 "$work/made" "$work/promised" | sed 's/^/promised, not made yet: /'
sed "s/\$/@@RUSHLIGHT_$interface/" "$work/made" | diff - "$work/shown" || fail "promised (<) is not what is shown (>)"

# In the static library the other names can be met: they are ours too.
strange=$(nm --defined-only -g "$build/librushlight.a" | awk 'NF == 3 && $3 !~ /^(rush_|__)/ { print $3 }')
same "names that are not ours" "" "$strange"

# The program needs no library of ours beside it.
readelf -d "$build/rushlight" | grep -q 'NEEDED.*librushlight' && fail "the program needs librushlight.so"
exit 0
