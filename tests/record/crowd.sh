#!/bin/sh
# Many sessions at once, each of which appends one record: crowd.sh APPEND COUNT [SESSIONS]
append=$1 count=$2 sessions=${3:-200}
folder=$(mktemp -d) || exit 1
trap 'rm -rf "$folder"' EXIT
i=0
while [ $i -lt "$sessions" ]; do
    "$append" "$folder/records.csv" "s$i" >>"$folder/finished" &
    i=$((i + 1))
done
wait
found=$("$count" "$folder/records.csv") || exit 1
finished=$(wc -l <"$folder/finished")
echo "$sessions sessions: $finished finished, $found records"
[ "$found" -eq "$sessions" ] && [ "$finished" -eq "$sessions" ] || exit 1
[ "$(ls -A "$folder" | grep -cv -e '^records.csv$' -e '^finished$')" -eq 0 ] || { ls -A "$folder"; exit 1; }
