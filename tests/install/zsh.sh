#!/bin/sh
# Completion in zsh: a shell at a terminal of its own is typed at, and writes down what it offers.
. "$(dirname "$0")/common.sh"
script=$build/package/_rushlight
has zsh || skip "no zsh"
zsh -n "$script"
mkdir "$work/here" "$work/functions"
cp "$script" "$work/functions"
touch "$work/here/a sighting.txt" "$work/here/my-key.yaml"
cat >"$work/.zshrc" <<'END'
PROMPT='ready '
setopt extendedglob
cd $ZDOTDIR/here
fpath=($ZDOTDIR/functions $fpath)
autoload -U compinit
compinit -u -D
compadd() { # what is added to be offered, not what a completion function asks for itself
    if [[ " ${@[1,(i)(-|--)]}" != *' -'[^-]#[OAD]\ * ]]; then
        local -a offers
        builtin compadd -O offers "$@"
        print -rl -- $offers >>$ZDOTDIR/offers
    fi
    builtin compadd "$@"
}
offer() {
    print -r -- "> $BUFFER" >>$ZDOTDIR/offers # what was typed, then the offers
    zle complete-word
    zle kill-whole-line
}
zle -N offer
bindkey '^I' offer
END
cat >"$work/drive" <<'END'
zmodload zsh/zpty
zpty shell zsh -i
zpty -r shell said '*ready *'
while IFS= read -r line; do
    zpty -w -n shell $line$'\t'
done
zpty -w -n shell $'exit\r'
while zpty -r shell said; do done
END

wants() { # EXPECTED LINE: what its last word can become, sorted
    same "$2" "$1" "$(sed -n "/^> $2\$/,/^>/{/^>/d;p;}" "$work/offers" | LC_ALL=C sort | tr '\n' ' ' |
        sed 's/^ *//; s/ *$//')"
}
all() { # FUNCTION: with what is wanted, and the line
    "$1" 'rank' 'rushlight ra'
    for command in $(commands); do
        "$1" "$command" "rushlight $command"
        "$1" "$(options "$command" | sed 's/^/--/' | LC_ALL=C sort | tr '\n' ' ' | sed 's/ $//')" "rushlight $command --"
    done
    "$1" '--exit-safe' 'rushlight rank --ex'
    "$1" 'darwin-core' 'rushlight rank --out d'
    "$1" 'jsonl' 'rushlight rank --out=j'
    "$1" 'close far hand near' 'rushlight ask --reach '
    "$1" 'odonata-adults' 'rushlight rank --key odonata-a'
    "$1" "a\\ sighting.txt my-key.yaml $keys" 'rushlight check '
    "$1" 'a\ sighting.txt' 'rushlight rank a'
    "$1" 'not-itself' 'rushlight check --explain not-i'
    "$1" 'tab' 'rushlight check --quiet --allow ta'
    "$1" '' 'rushlight rank --recorder '
}
line() { echo "$2"; }
all line >"$work/lines"
ZDOTDIR=$work timeout 60 zsh -f "$work/drive" <"$work/lines" >/dev/null
all wants
