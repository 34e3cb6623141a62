#!/bin/sh
# Completion in bash, asked as bash asks it.
. "$(dirname "$0")/common.sh"
has bash || skip "no bash"
script=$build/package/rushlight
bash -n "$script"
mkdir "$work/here"
cd "$work/here"
touch 'a sighting.txt' my-key.yaml

wants() { # EXPECTED WORD...: what the last word can become, sorted
    expected=$1
    shift
    same "rushlight $*" "$expected" "$(bash -c '
        source "$1"
        shift
        COMP_WORDS=(rushlight "$@") COMP_CWORD=$#
        _rushlight
        printf "%s\n" "${COMPREPLY[@]}"' bash "$script" "$@" | LC_ALL=C sort | tr '\n' ' ' | sed 's/^ *//; s/ *$//')"
}
wants 'rank' ra
wants '--help --version' --
for command in $(commands); do
    wants "$command" "$command"
    wants "$(options "$command" | sed 's/^/--/' | LC_ALL=C sort | tr '\n' ' ' | sed 's/ $//')" "$command" --
done
wants '--exit-safe' rank --ex
wants 'darwin-core' rank --out d
wants 'jsonl' rank --out = j # as bash splits --out=j
wants 'close far hand near' ask --reach ''
wants 'close far hand near' ask --reach =
wants 'odonata-adults' rank --key odonata-a
wants 'my-key.yaml' rank --key my
wants "a sighting.txt my-key.yaml $keys" check ''
wants 'a sighting.txt' rank a
wants 'not-a-number not-itself nothing-fits nothing-left' check --explain not
wants 'tab' check --error tab
wants 'tab' check --quiet --allow ta
wants 'odonata-exuviae' changes old.yaml odonata-e
wants '' rank --recorder ''
wants '' ask ''
wants '' nothing ''
