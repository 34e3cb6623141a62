#!/bin/sh
# Completion in fish, asked as fish asks it.
. "$(dirname "$0")/common.sh"
script=$build/package/rushlight.fish
has fish || skip "no fish"
fish --no-execute "$script"
mkdir "$work/here"
cd "$work/here"
touch 'a sighting.txt' my-key.yaml
export HOME="$work" XDG_CONFIG_HOME="$work" XDG_DATA_HOME="$work"

wants() { # EXPECTED LINE: what its last word can become
    same "$2" "$1" "$(fish --no-config -c 'source $argv[1]; complete -C $argv[2]' "$script" "$2" | cut -f 1 |
        LC_ALL=C sort | tr '\n' ' ' | sed 's/ *$//')"
}
wants 'rank' 'rushlight ra'
for command in $(commands); do
    wants "$command" "rushlight $command"
    wants "$(options "$command" | sed 's/^/--/' | LC_ALL=C sort | tr '\n' ' ' | sed 's/ $//')" "rushlight $command --"
done
wants '--exit-safe' 'rushlight rank --ex'
wants 'darwin-core' 'rushlight rank --out d'
wants '--out=jsonl' 'rushlight rank --out=j'
wants 'close far hand near' 'rushlight ask --reach '
wants 'my-key.yaml' 'rushlight rank --key my'
wants "a sighting.txt my-key.yaml $keys" 'rushlight check '
wants 'a sighting.txt' 'rushlight rank a'
wants 'not-itself' 'rushlight check --explain not-i'
wants 'tab' 'rushlight check --quiet --allow ta'
wants '' 'rushlight rank --recorder '
wants '' 'rushlight ask '
wants '--strict' 'rushlight check rank --str'
wants '' 'rushlight check rank --exit-'
