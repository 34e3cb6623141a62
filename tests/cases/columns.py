"""No line of a file is wider than so many columns, as Unicode's East Asian Width has it (UAX 11)."""
import sys
import unicodedata


def width(character):
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


most = max(sum(map(width, line.rstrip("\n"))) for line in open(sys.argv[1], encoding="utf-8"))
if most > int(sys.argv[2]):
    sys.exit("a line of %d columns" % most)
