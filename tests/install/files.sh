#!/bin/sh
# What is installed: all that should be, nothing that names where it was built, under any prefix and DESTDIR.
. "$(dirname "$0")/common.sh"

install_to "$work/any where"
cd "$work/any where"
for file in bin/rushlight share/man/man1/rushlight.1 share/bash-completion/completions/rushlight \
    share/zsh/site-functions/_rushlight share/fish/vendor_completions.d/rushlight.fish \
    share/doc/rushlight/README.md share/doc/rushlight/LICENSE share/doc/rushlight/examples/name_one.c \
    share/rushlight/keys/README.md share/rushlight/keys/rushlight-key.schema.json; do
    [ -s "$file" ] || fail "$file is not there"
done
same headers "$(ls "$root/include/rushlight" | sed 's/\.in$//')" "$(ls include/rushlight)"
diff -r "$root/keys" share/rushlight/keys || fail "the keys are others"
named=$(grep -rlIF -e "$root" -e "$build" . || :)
same "files that name where they were built" "" "$named"

same "the version" "rushlight $(sed -n 's/^Version: //p' "$(find . -name rushlight.pc)")" "$(bin/rushlight --version)"
bin/rushlight check share/rushlight/keys/odonata-adults >/dev/null || fail "the installed key has errors"
echo 'folded; red; about 35 mm' | bin/rushlight rank --top 1 | grep -q Pyrrhosoma || fail "the installed program"

DESTDIR=$work/root cmake --install "$build" --prefix /opt/rush >/dev/null
same DESTDIR "$(cd "$work/any where" && find . | sort)" "$(cd "$work/root/opt/rush" && find . | sort)"
