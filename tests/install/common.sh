# What the tests of the installed files share: . common.sh, called as TEST.sh BUILD-FOLDER
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
build=$(cd "$1" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM
export LC_ALL=C.UTF-8
unset DESTDIR CPATH LIBRARY_PATH LD_LIBRARY_PATH PKG_CONFIG_PATH CMAKE_PREFIX_PATH || :

fail() { echo "FAILED $*" >&2; exit 1; }
skip() { echo "skipped: $*"; exit 77; } # as ctest knows it
same() { [ "$2" = "$3" ] || fail "$1: wanted '$2', not '$3'"; }
has() { command -v "$1" >/dev/null 2>&1; }
# Installs everything under $1.
install_to() { cmake --install "$build" --prefix "$1" >"$work/log" 2>&1 || { cat "$work/log"; fail "cmake --install"; }; }
# The folder of the library, whatever this system calls it.
library_folder() { dirname "$(find "$1" -name librushlight.a)"; }
# The names of the built-in keys, which stand in the folder of the same name.
keys=$(cd "$root/keys" && ls -d */ | LC_ALL=C sort | tr -d / | tr '\n' ' ' | sed 's/ $//')

# What --help has, against which the papers are held: the commands, and a command's options.
commands() { "$build/rushlight" --help | sed -n '/^Commands:/,/^$/s/^  \([a-z]*\) .*/\1/p'; }
options() { "$build/rushlight" "$1" --help | sed -n 's/^  --\([a-z-]*\).*/\1/p'; }
[ "$(commands)" ] || fail "--help lists no commands"
