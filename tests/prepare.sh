#!/bin/sh
# Installs what is missing on a Debian machine to build and test rushlight; more packages may be named.
# As root with apt-get, else through sudo; without either it says what to install.
packages="cmake gcc libc6-dev make pkg-config libyaml-dev libexpat1-dev libjansson-dev libcsv-dev libedit-dev libutf8proc-dev libcmocka-dev nettle-dev python3 python3-jsonschema python3-yaml $*"
missing=""
for package in $packages; do
    dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
done
[ -n "$missing" ] || exit 0
echo "installing:$missing"
if ! command -v apt-get >/dev/null 2>&1; then
    echo "this machine has no apt-get; install what provides these Debian packages:$missing" >&2
    exit 1
elif [ "$(id -u)" -eq 0 ]; then
    as_root=""
elif command -v sudo >/dev/null 2>&1; then
    as_root="sudo"
else
    echo "not root, and there is no sudo; as root run: apt-get install$missing" >&2
    exit 1
fi
export DEBIAN_FRONTEND=noninteractive
# An old list may name versions that are gone, so it is made new first.
$as_root apt-get update -qq && $as_root apt-get install -y -qq --no-install-recommends $missing >/dev/null || {
    echo "apt-get could not install:$missing" >&2
    exit 1
}
