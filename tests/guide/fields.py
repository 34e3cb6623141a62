#!/usr/bin/env python3
"""The guide's reference names every field that the key reader knows, and no other.

    fields.py SOURCE-FOLDER GUIDE

The reader's tables are the `static const rush_field NAME_fields[]` of src/key/*.c. In the guide each is the table
below the comment `<!-- fields: NAME ... -->`; several names make one table.
"""
import glob
import re
import sys


def reader_tables(folder):
    tables = {}
    for path in sorted(glob.glob(folder + "/src/key/*.c")):
        with open(path, encoding="utf-8") as file:
            text = file.read()
        for name, body in re.findall(r"static const rush_field (\w+)_fields\[\] = \{(.*?)\n\};", text, re.S):
            tables[name] = set(re.findall(r'\{"(\w+)", RUSH_FIELD_', body))
    return tables


def guide_tables(path):
    tables, names = {}, None
    with open(path, encoding="utf-8") as file:
        for line in file:
            comment = re.match(r"<!-- fields: (.*) -->$", line)
            row = re.match(r"\| `(\w+)`", line)
            if comment:
                names = comment.group(1).split()
                for name in names:
                    tables[name] = set()
            elif row and names:
                for name in names:
                    tables[name].add(row.group(1))
            elif names and not line.startswith("|") and any(tables[name] for name in names):
                names = None
    return tables


def main():
    reader, guide = reader_tables(sys.argv[1]), guide_tables(sys.argv[2])
    wrong = ["the guide has no table of %s" % name for name in reader.keys() - guide.keys()]
    wrong += ["the reader has no table of %s" % name for name in guide.keys() - reader.keys()]
    for name in sorted(reader.keys() & guide.keys()):
        wrong += ["%s: the guide lacks `%s`" % (name, field) for field in sorted(reader[name] - guide[name])]
        wrong += ["%s: the reader lacks `%s`" % (name, field) for field in sorted(guide[name] - reader[name])]
    print("\n".join(sorted(wrong) or ["fields: %d of %d tables, all there"
                                      % (sum(map(len, reader.values())), len(reader))]))
    sys.exit(bool(wrong) or not reader)


main()
