#!/bin/sh
# Loading a large key, against libyaml's bare event loop over the same file:
#
#   tests/bench/load.sh BUILD [MAKE_KEY-OPTION...]
#
# BUILD is a build folder with the tests in it. Prints ratios of processor time, the least of five runs each in turn,
# and of resident memory to the size of the file; then the engine alone on that key.
set -e
[ $# -ge 1 ] || { echo "usage: $0 BUILD [MAKE_KEY-OPTION...]" >&2; exit 2; }
build=$1
shift
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM

python3 "$here/make_key.py" "$work" --lines 200 "$@"
python3 - "$build" "$work/key.yaml" <<'EOF'
"""Processor time and the largest resident size of whole processes."""
import os, subprocess, sys
build, key = sys.argv[1:]


def run(*command):
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        sys.exit(f"{command}: status {status}")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss * 1024


commands = {"events": (f"{build}/tests/events", key),
            "rank": (f"{build}/rushlight", "rank", "--jobs", "1", "--next", "0", "--key", key)}
least = {}
for _ in range(5):
    for name, command in commands.items():
        time, size = run(*command)
        old = least.get(name, (time, size))
        least[name] = (min(old[0], time), max(old[1], size))
size = os.path.getsize(key)
print(f"a key of {size / 1e6:.1f} MB: {least['rank'][0] / least['events'][0]:.2f} times libyaml's event loop "
      f"({least['events'][0]:.2f} s); resident {least['rank'][1] / size:.2f} times the file")
EOF
"$build/tests/bench_engine" "$work/key.yaml" "$work/lines.txt"
