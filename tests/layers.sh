#!/bin/sh
# The walls of the house: nothing below src/cli prints, opens, exits or asks clock, locale or environment;
# data goes one way, so no folder includes a later one; the program uses public headers alone.
# usage: layers.sh ROOT
cd "$1" || exit 1
status=0
say() { printf '%s\n' "$1"; status=1; }

found=$(grep -nE '\b(printf|fprintf|vprintf|puts|putchar|perror|fopen|open|read|write|exit|_Exit|abort|getenv|setenv|isatty|time|clock|clock_gettime|gettimeofday|localtime|gmtime|setlocale|localeconv|newlocale|rand|srand|random|strtod|atof|toupper|tolower|isalpha|isdigit|isspace)[[:space:]]*\(' \
    src/base/*.[ch] src/diagnostic/*.[ch] src/key/*.[ch] src/sighting/*.[ch] src/rank/*.[ch] src/advise/*.[ch] \
    src/check/*.[ch] src/trial/*.[ch] src/changes/*.[ch] src/dialogue/*.[ch] src/report/*.[ch] src/sow/*.[ch] include/rushlight/*.h \
    | grep -vE 'v?snprintf|format\(printf|->read\(|\.read\(')
[ -z "$found" ] || say "the core reaches outside:
$found"
found=$(grep -nE '#include <(unistd|fcntl|time|locale|signal|ctype)\.h>|\bFILE\b' src/base/*.[ch] src/diagnostic/*.[ch] \
    src/key/*.[ch] src/sighting/*.[ch] src/rank/*.[ch] src/advise/*.[ch] src/check/*.[ch] src/trial/*.[ch] src/changes/*.[ch] src/dialogue/*.[ch] \
    src/report/*.[ch] include/rushlight/*.h)
[ -z "$found" ] || say "the core includes what only src/cli may:
$found"

# Folder by folder: what it may include, public headers counted to the folder that they speak for.
order='base diagnostic key sighting rank advise check trial changes dialogue report sow'
header_of() { # the public header's folder
    case $1 in
    text | version) echo base ;; ranking | part) echo rank ;; advice | apart | couplets) echo advise ;; record) echo report ;; drill) echo dialogue ;; *) echo "$1" ;;
    esac
}
rank_of() {
    place=0
    for folder in $order; do
        [ "$folder" = "$1" ] && { echo $place; return; }
        place=$((place + 1))
    done
    echo 99
}
check_file() { # FILE FOLDER
    mine=$(rank_of "$2")
    for included in $(sed -nE 's/^#include "([^"]+)".*/\1/p' "$1"); do
        name=${included%.h}
        case $included in
        rushlight/*) theirs=$(header_of "${name#rushlight/}") ;;
        */*) theirs=${included%%/*} ;;
        *) say "$1 includes $included without its folder"; continue ;;
        esac
        [ "$(rank_of "$theirs")" -le "$mine" ] || say "$1 ($2) includes $included ($theirs)"
    done
}
for folder in $order; do
    for file in src/"$folder"/*.[ch]; do
        check_file "$file" "$folder"
    done
done
for file in include/rushlight/*.h; do
    name=$(basename "$file" .h)
    [ "$name" = rushlight ] || check_file "$file" "$(header_of "$name")"
done

found=$(grep -nE '#include "[^"]*/' src/cli/*.[ch] | grep -v '"rushlight/')
[ -z "$found" ] || say "src/cli includes more than public headers:
$found"
[ $status -eq 0 ] && echo "the walls stand"
exit $status
