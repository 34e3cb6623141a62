#!/bin/sh
# Files that are not ours stay untouched; those that are, in whatever clothes, are appended to:
# refusals.sh APPEND COUNT
append=$1 count=$2
folder=$(mktemp -d) || exit 1
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
status=0
fail() { echo "$1"; status=1; }

"$append" ours.csv first >/dev/null || exit 1
header=$(head -n 1 ours.csv)

# refuse FILE WHY: nothing about it or beside it changes
refuse() {
    before=$(ls -lAi --time-style=full-iso; head -c 1000000 "$1" 2>/dev/null | cksum)
    if timeout 5 "$append" "$1" x >/dev/null 2>problem; then
        fail "$1 was appended to"
    elif ! grep -qF "$2" problem; then
        fail "$1: $(cat problem)"
    fi
    rm -f problem
    [ "$before" = "$(ls -lAi --time-style=full-iso; head -c 1000000 "$1" 2>/dev/null | cksum)" ] || fail "$1 was changed"
}
foreign="its first line is not the header of these records"
printf 'diary\nof a summer\n' >diary.txt
printf '%s,more\na,b\n' "$header" >columns.csv
printf 'name,date\nx,y\n' >other.csv
printf '%s\n' "$header" | cut -c 1-60 >cut.csv
printf '\n%s\n' "$header" >late.csv
printf '%s\n' "$header" | tr , ';' >semicolons.csv
head -c 100000 /dev/zero >zeros
printf '\377\376' >two-bytes
for file in diary.txt columns.csv other.csv cut.csv late.csv semicolons.csv zeros two-bytes; do
    refuse "$file" "$foreign"
done
printf '%s\nid,"never closed\n' "$header" >open.csv
refuse open.csv "cut off"
mkdir folder
refuse folder "not a plain file"
refuse folder/ "not a plain file"
ln -s nowhere dangling
refuse dangling "a link to a file that is not there"
ln -s loop loop
refuse loop ""
refuse missing/records.csv "No such file"
refuse diary.txt/records.csv "Not a directory"
refuse "" "not the name of a file"
refuse "$(printf '%0300d' 0)" "too long"
refuse /dev/full "not a plain file"
ln -s /dev/null null
timeout 5 "$append" null x 2>&1 | grep -q "not a plain file" || fail "null"
mkfifo pipe
timeout 5 "$append" pipe x 2>&1 | grep -q "not a plain file" || fail "pipe"
"$append" "$(printf 'dia\033[31mry\n.txt')/x" x 2>problem
LC_ALL=C grep -q "$(printf '\033')" problem && fail "a control sequence came through"
# A user other than root, where we can be one: a file or a folder that may not be written.
if [ "$(id -u)" -eq 0 ] && command -v setpriv >/dev/null; then
    mkdir shared && cp ours.csv shared/read-only.csv && chmod 644 shared/read-only.csv
    chmod 777 shared && chmod 755 .
    setpriv --reuid=65534 --clear-groups "$append" shared/read-only.csv x 2>&1 | grep -q "Permission denied" || fail "read-only file"
    cmp ours.csv shared/read-only.csv || fail "read-only file changed"
    setpriv --reuid=65534 --clear-groups "$append" records.csv x 2>&1 | grep -q "Permission denied" || fail "read-only folder"
    [ -e records.csv ] && fail "it was made"
fi

# accept FILE RECORDS
accept() {
    "$append" "$1" y >/dev/null || fail "$1 was refused"
    found=$("$count" "$1") || fail "$1 is not whole"
    [ "$found" = "$2" ] || fail "$1 has $found records"
}
: >empty.csv
accept empty.csv 1
accept new.csv 1
{ printf '\357\273\277'; cat ours.csv; } >mark.csv
accept mark.csv 2
{ printf '\357\273\277'; sed 's/$/\r/' ours.csv; } >spreadsheet.csv
accept spreadsheet.csv 2
[ "$(grep -c "$(printf '\r')" spreadsheet.csv)" -eq 3 ] || fail "its line ends are mixed"
printf '%s' "$header" >bare-header.csv
accept bare-header.csv 1
printf '%s' "$(cat ours.csv)" >no-end.csv
accept no-end.csv 2
cp ours.csv 'a name; with "signs".csv'
accept 'a name; with "signs".csv' 2
cp ours.csv -- -dash.csv
accept ./-dash.csv 2
# What a killed session left is cleared away.
echo "half a li" >.stale.csv.rushlight
accept stale.csv 1
[ -e .stale.csv.rushlight ] && fail "what was left is still there"
# A link stays a link, mode bits stay.
mkdir elsewhere && cp ours.csv elsewhere/target.csv && chmod 640 elsewhere/target.csv
ln -s elsewhere/target.csv link.csv
accept link.csv 2
[ -L link.csv ] || fail "the link was replaced"
[ "$(stat -c %a elsewhere/target.csv)" = 640 ] || fail "mode bits were lost"
[ -z "$(ls -A . elsewhere | grep rushlight)" ] || fail "something was left beside a file"
(umask 077 && "$append" private.csv z >/dev/null)
[ "$(stat -c %a private.csv)" = 600 ] || fail "the umask was not heeded"
[ $status -eq 0 ] && echo "all refused or kept as they should be"
exit $status
