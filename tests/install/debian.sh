#!/bin/sh
# The Debian packages: what they say of themselves, what is in them, and that the program runs out of them.
. "$(dirname "$0")/common.sh"
has dpkg-deb && has dpkg-shlibdeps && has file && has cpack || skip "no Debian machine with dpkg-dev and file"

cd "$build"
umask 002 # a common one, which is not to show
cpack -G DEB -B "$work" >"$work/log" 2>&1 || { cat "$work/log"; fail cpack; }
cd "$work"
program=$(ls rushlight_*.deb) library=$(ls librushlight[0-9]*.deb) development=$(ls librushlight-dev_*.deb)
version=$("$build/rushlight" --version | cut -d ' ' -f 2)
for package in "$program" "$library" "$development"; do
    same "the version of $package" "$version" "$(dpkg-deb -f "$package" Version)"
    dpkg-deb -f "$package" Maintainer | grep -q '^rushlight maintainers <' || fail "$package: no maintainer"
    dpkg-deb -x "$package" root
done
same "the sections" "science libs libdevel" "$(for package in $program $library $development; do
    dpkg-deb -f "$package" Section; done | tr '\n' ' ' | sed 's/ $//')"
dpkg-deb -f "$program" Depends | grep -q 'libyaml-0-2.*' || fail "$program does not depend on libyaml"
dpkg-deb -f "$development" Depends | grep -qF "$(dpkg-deb -f "$library" Package) (= $version)" ||
    fail "$development does not depend on its library"
dpkg-deb -I "$library" shlibs | grep -qF "$(dpkg-deb -f "$library" Package) (>= $version)" || fail "no shlibs"
for package in rushlight librushlight-dev "$(dpkg-deb -f "$library" Package)"; do
    for file in copyright changelog.gz; do
        [ -s "root/usr/share/doc/$package/$file" ] || fail "$package has no $file"
    done
done
for package in "$program" "$library" "$development"; do
    dpkg-deb -c "$package" | awk '$2 != "root/root"' | grep . && fail "$package holds what is not root's"
    dpkg-deb -c "$package" | grep -v -e '^-rw-r--r--' -e '^[-d]rwxr-xr-x' -e '^l' && fail "$package: modes"
done
dpkg-deb --ctrl-tarfile "$library" | tar -t | grep -E 'post|pre' && fail "$library has scripts beside its trigger"
dpkg-deb --ctrl-tarfile "$library" | tar -t | grep -q triggers || fail "$library has no trigger"
[ -e "root/usr/lib/$(${CC:-cc} -print-multiarch)/librushlight.so.$version" ] ||
    grep -q 'DCMAKE_INSTALL_PREFIX=/usr' "$work/log" || fail "where the library is packed is not told"
gzip -t root/usr/share/man/man1/rushlight.1.gz

same "the program out of the package" "rushlight $version" "$(root/usr/bin/rushlight --version)"
echo 'folded; red; about 35 mm' | root/usr/bin/rushlight rank --top 1 | grep -q Pyrrhosoma || fail "it does not rank"
for file in root/usr/share/bash-completion/completions/rushlight root/usr/share/zsh/vendor-completions/_rushlight \
    root/usr/share/fish/vendor_completions.d/rushlight.fish root/usr/share/rushlight/keys/odonata-adults/key.yaml \
    root/usr/share/doc/librushlight-dev/examples/name_one.c; do
    [ -s "$file" ] || fail "$file is in no package"
done

# Debian's own judge, which takes longer than all the rest: LINTIAN=1 asks it.
if [ "${LINTIAN:-}" ]; then
    lintian --allow-root --fail-on error ./*.deb >"$work/log" 2>&1 || { cat "$work/log"; fail lintian; }
fi
