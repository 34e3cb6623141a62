#!/bin/sh
# The example of the library is built against what was installed and then moved elsewhere, by pkg-config and by
# CMake, with the shared and the static library, and says the same each time.
. "$(dirname "$0")/common.sh"
cc=${CC:-cc}
flags="-std=c17 -Wall -Wextra -Werror ${CFLAGS:-}"
source=$root/demo/name_one.c
key=$root/tests/cases/keys/shore
line='outline: round; colour: white; about 45 mm'

[ "$(wc -l <"$source")" -le 60 ] || fail "the example is longer than 60 lines"
install_to "$work/first"
mv "$work/first" "$work/moved"
libraries=$(library_folder "$work/moved")
export PKG_CONFIG_PATH="$libraries/pkgconfig"

says() { # PROGRAM
    LD_LIBRARY_PATH=$libraries "$1" "$key" "$line" >"$work/said" || fail "$1 ended with $?"
    diff "$here/example.expected" "$work/said" || fail "$1 says something else"
}

$cc $flags "$source" $(pkg-config --cflags --libs rushlight) -o "$work/shared"
says "$work/shared"

version=$(pkg-config --modversion rushlight)
CFLAGS=$flags cmake -S "$here/consumer" -B "$work/consumer" -DSOURCE="$source" -DWANTED="$version" \
    -DCMAKE_PREFIX_PATH="$work/moved" >"$work/log" 2>&1 && cmake --build "$work/consumer" >>"$work/log" 2>&1 ||
    { cat "$work/log"; fail "find_package"; }
says "$work/consumer/with-rushlight"

# The version is one: of the headers, of the library at work, and of the file that finds them.
cat >"$work/version.c" <<'END'
#include <rushlight/rushlight.h>
#include <stdio.h>
int main(void) {
    printf("%s %d.%d.%d %s\n", RUSHLIGHT_VERSION, RUSHLIGHT_VERSION_MAJOR, RUSHLIGHT_VERSION_MINOR,
           RUSHLIGHT_VERSION_PATCH, rush_version());
}
END
$cc $flags "$work/version.c" $(pkg-config --cflags --libs rushlight) -o "$work/version"
same "the version in C" "$version $version $version" "$(LD_LIBRARY_PATH=$libraries "$work/version")"

# Without the shared library what is built stands on the static one, and on what that stands on.
rm "$libraries"/librushlight.so*
says "$work/consumer/with-static"
$cc $flags "$source" $(pkg-config --static --cflags --libs rushlight) -o "$work/static"
says "$work/static"

# What is wrong is said, with the place; there is nothing to show then.
if "$work/static" "$key" 'colour: gren' >"$work/said" 2>"$work/wrong"; then fail "it took what is no colour"; fi
grep -q '^sighting:1:9: error: .*\[unknown-state\]' "$work/wrong" && [ ! -s "$work/said" ] || fail "the fault is not told"
if "$work/static" "$work" "$line" 2>"$work/wrong"; then fail "it took what is no key"; fi
grep -q 'cannot-open' "$work/wrong" || fail "the missing key is not told"

# Each header can be included by itself; all together are C++ too.
for header in "$work"/moved/include/rushlight/*.h; do
    echo "#include <rushlight/${header##*/}>" | $cc $flags -xc -fsyntax-only $(pkg-config --cflags rushlight) -
done
if has c++; then
    echo '#include <rushlight/rushlight.h>
    int main() { rush_diagnostics_free(rush_diagnostics_new()); }' >"$work/one.cc"
    c++ -std=c++17 -Wall -Wextra -Werror ${CFLAGS:-} "$work/one.cc" $(pkg-config --static --cflags --libs rushlight) -o "$work/one"
fi
