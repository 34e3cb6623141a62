#!/bin/sh
# Handouts in Chromium, on paper, and before an accessibility checker: run by hand, or with the tests where there are
# Debian's chromium and poppler-utils and a folder with npm's puppeteer-core and axe-core in MODULES
# (`npm install --ignore-scripts puppeteer-core axe-core`). Without them it is skipped (77).
#
#   MODULES=folder tests/sheet/browser.sh PROGRAM
here=$(cd "$(dirname "$0")" && pwd)
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
for tool in chromium node pdfinfo pdftoppm pdftotext; do
    command -v $tool >/dev/null || { echo "sheet/browser: skipped: it wants $tool"; exit 77; }
done
chromium=$(command -v chromium)
[ -d "${MODULES:-}/node_modules/axe-core" ] || { echo "sheet/browser: skipped: no axe-core in MODULES"; exit 77; }
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
failed=0
"$program" sheet --where 'habitat: garden pond; month: July' >"$work/pond.html" &&
    "$program" sheet --where 'habitat: garden pond; month: July' --occurrence common --title Everyday >"$work/common.html" &&
    "$program" sheet --within Zygoptera --large-print --language nl >"$work/large.html" &&
    "$program" sheet --key "$here/hostile" --title '<script>alert(1)</script>' >"$work/hostile.html" || exit 1
(cd "$MODULES" && cp "$here/browser.mjs" "$work/" && ln -s "$PWD/node_modules" "$work/node_modules" &&
    node "$work/browser.mjs" "$chromium" "$work/pond.html" "$work/common.html" "$work/large.html" "$work/hostile.html") || failed=1
for sheet in pond common large; do
    python3 "$here/scale.py" "$work/$sheet.html.pdf" 80 1 || failed=1
done
python3 "$here/pages.py" "$work/pond.html.pdf" 15 whole || failed=1
python3 "$here/pages.py" "$work/common.html.pdf" 15 whole || failed=1
python3 "$here/pages.py" "$work/large.html.pdf" 10 parted || failed=1
# A teacher copies it: a pond in July is a few sheets of paper, whose fonts are the machine's.
pages=$(pdfinfo "$work/pond.html.pdf" | sed -n 's/^Pages: *//p')
[ "$pages" -le 22 ] || { echo "FAILED sheet/browser: $pages pages"; failed=1; }
# Nothing is cut off: every word stands within the page's margins (12 mm are 34 points).
for sheet in pond common large hostile; do
    pdftotext -bbox "$work/$sheet.html.pdf" - | awk -v FS='"' -v sheet=$sheet '/<page/ { wide = $2; high = $4 }
        /<word/ && ($2 < 30 || $4 < 30 || $6 > wide - 30 || $8 > high - 30) { print "FAILED sheet/browser: " sheet ": cut off: " $0; bad = 1 }
        END { exit bad }' || failed=1
done
# The first account's bar: black up to the least length that its caption says.
page=1
until pdftotext -f $page -l $page "$work/pond.html.pdf" - | grep -q '^One by one'; do page=$((page + 1)); done
least=$(pdftotext -f $page -l $page "$work/pond.html.pdf" - | sed -n 's/.*\<\([0-9][0-9]*\) to [0-9]* mm.*/\1/p' | head -1)
python3 "$here/scale.py" "$work/pond.html.pdf" "$least" $page || failed=1
exit $failed
