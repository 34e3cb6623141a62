#!/bin/sh
# The manual page is sound, and has every command and option that --help has.
. "$(dirname "$0")/common.sh"
page=$build/package/rushlight.1
program=$build/rushlight

for section in NAME SYNOPSIS DESCRIPTION 'TAKE CARE' COMMANDS KEYS ENVIRONMENT FILES 'EXIT STATUS' EXAMPLES 'SEE ALSO'; do
    grep -qx "\.Sh $section" "$page" || fail "no section $section"
done
for command in $(commands); do
    grep -qx "\.Cm $command" "$page" || fail "$command is not in the synopsis"
    sed -n "/^\.Ss $command: /,/^\.S[sh]/p" "$page" >"$work/section"
    for option in $(options "$command" | grep -vx help); do
        grep -qE "^\.It Fl .*-$(echo "$option" | sed 's/-/\\\\-/g')( |\$)" "$work/section" || fail "$command --$option is not in it"
    done
    # Every example of the help, letter for letter once roff's escapes are undone.
    "$program" "$command" --help | sed -n '/^Examples:/,/^Usage:/s/^  /  /p' | while IFS= read -r example; do
        sed 's/\\-/-/g; s/\\(aq/'"'"'/g; s/\\(ga/`/g; s/\\(dq/"/g; s/\\(ti/~/g; s/\\(ha/^/g; s/\\e/\\/g' "$page" |
            grep -qxF -e "$example" || fail "this example is not in it: $example"
    done
done

checked=
if has man && has groff; then
    said=$(MANPAGER=cat MANWIDTH=80 man --warnings -l "$page" 2>&1 >"$work/shown")
    same "what man warns of" "" "$said"
    grep -q -- '--out text | jsonl' "$work/shown" || fail "man shows no options"
    checked=man
fi
if has mandoc; then
    same "what mandoc warns of" "" "$(mandoc -T lint -W warning "$page")"
    checked="$checked mandoc"
fi
[ "$checked" ] || skip "neither man nor mandoc is there to read it"
