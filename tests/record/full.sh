#!/bin/sh
# A disk that fills up, and a file that may grow no further: the records so far stay, nothing else is left:
# full.sh APPEND COUNT
# Without the right to mount, only the second.
append=$1 count=$2
folder=$(mktemp -d) || exit 1
trap 'umount "$folder/disk" 2>/dev/null; rm -rf "$folder"' EXIT
mkdir "$folder/disk" "$folder/small"

# Appends until it fails, and looks at the file after that: fill FOLDER
fill() {
    file=$1/records.csv
    "$append" "$file" r 100000 >"$folder/finished" 2>"$folder/problem" && { echo "it never filled up"; exit 1; }
    kept=$("$count" "$file") || exit 1
    cp "$file" "$folder/before"
    for again in 1 2 3; do
        "$append" "$file" "again$again" >/dev/null 2>&1 && { echo "it was not full"; exit 1; }
    done
    cmp "$file" "$folder/before" || exit 1
    [ "$(ls -A "$1")" = records.csv ] || { ls -A "$1"; exit 1; }
    [ "$kept" -eq "$(wc -l <"$folder/finished")" ] || { echo "$kept records"; exit 1; }
    echo "$2: $kept records, then: $(sed 's/.*: //' "$folder/problem")"
}

if mount -t tmpfs -o size=128k tmpfs "$folder/disk" 2>/dev/null; then
    fill "$folder/disk" "a disk of 128 kB"
    umount "$folder/disk"
else
    echo "no right to mount a disk here"
fi
trap '' XFSZ
ulimit -f 64 || exit 1
fill "$folder/small" "files of at most 64 blocks"
