#!/usr/bin/env python3
"""Writes hostile keys and observation lines into a folder, and a list of them: make.py FOLDER

Each row of the list: kind, file, and a regular expression that a line of the output must match.
Kinds: `key` is refused by every command, `key200` with 200 findings; `alike` is a key with warnings
only; `any` a key that may be good or not; `csv` and `jsonl` are read as such and have bad rows; `sow` is a table to sow; `lines` has bad lines, `any-lines` may have; `finite` is
about the numbers that come out. Everything random is seeded."""
import os, random, sys

folder = sys.argv[1]
os.chdir(folder)
rows = []
HEAD = "rushlight: 1\nkey: hostile\n"
CHARACTERS = "characters:\n  outline: {states: [round, fan]}\n  width: {measure: length, reading_error: 10%}\n"
TAXA = ("taxa:\n  Tidella ficta: {rank: species, traits: {outline: round, width: 10-20}}\n"
        "  Murmica ficta: {rank: species, traits: {outline: fan, width: 30-50}}\n")
GOOD = HEAD + CHARACTERS + TAXA
MIB2 = 2 * 1024 * 1024


def write(name, data):
    if os.path.dirname(name):
        os.makedirs(os.path.dirname(name), exist_ok=True)
    with open(name, "wb") as file:
        file.write(data if isinstance(data, bytes) else data.encode("utf-8"))


def add(kind, name, expect):
    rows.append(f"{kind}\t{name}\t{expect}")


def key(name, data, place, slug, kind="key"):
    """`place` is LINE:COLUMN of a finding with this slug, or a regular expression."""
    write(name + ".yaml", data)
    add(kind, name + ".yaml", rf"^[^ ]*\.yaml:{place}: (error|warning): .*\[{slug}\]$")


def lines(name, data, place, slug):
    write(name + ".txt", data)
    add("lines", name + ".txt", rf"^[^ ]*:{place}: error: .*\[{slug}\]$")


# ---- nests ----
key("brackets", "[" * MIB2, "1:65", "too-deep")
key("braces", "{" * MIB2, "1:(2|65)", "(wrong-shape|too-deep)")
key("dashes", "- " * (MIB2 // 2), "1:129", "too-deep")
key("pairs-on-a-line", "a: " * (MIB2 // 3), "1:5", "syntax")
key("nested-blocks", "".join(" " * i + "a:\n" for i in range(2000)), "65:65", "too-deep")
key("explicit", "? " * (MIB2 // 2), "1:3", "wrong-shape")
key("mixed-nest", HEAD + "taxa: " + "[{a: " * 200000, "3:.*", "too-deep")
key("braces-with-names", "{a: " * (MIB2 // 4), "1:257", "too-deep")

# ---- aliases ----
bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
for i in range(1, 12):
    bomb += f"a{i}: &a{i} [" + ", ".join([f"*a{i - 1}"] * 10) + "]\n"
key("alias-bomb", HEAD + bomb, "3:5", "yaml-extra")
key("self-reference", HEAD + "taxa: &t\n  Tidella ficta: *t\n", "4:18", "yaml-extra")
key("self-reference-list", "&a [*a]\n", "1:1", "yaml-extra")
key("merge", HEAD + CHARACTERS + "taxa:\n  A b: {<<: {rank: species}}\n", "7:9", "yaml-extra")
key("many-anchors", HEAD + "".join(f"x{i}: &y{i} 1\n" for i in range(20000)), "3:5", "yaml-extra")
key("tags", HEAD + "title: !!python/object:os.system rm\n", "3:8", "yaml-extra")
key("repeated-key", GOOD + "key: again\n", "9:1", "repeated-field")
key("repeated-many", HEAD + CHARACTERS + "taxa:\n" + "  A b: {rank: species}\n" * 20000, "8:3", "repeated-field")

# ---- bytes ----
key("tab", HEAD + "characters:\n\toutline: {states: [round, fan]}\n", "4:1", "tab")
key("tabs-only", "\t" * 100000, "1:1", "(tab|empty-file)")
key("bad-utf8", HEAD.encode() + b"title: a\xff\xfeb\n", "3:9", "bad-utf8")
key("overlong", HEAD.encode() + b"title: \xc0\xaf\n", "3:8", "bad-utf8")
key("surrogate", HEAD.encode() + b"title: \xed\xa0\x80\n", "3:8", "bad-utf8")
key("beyond-unicode", HEAD.encode() + b"title: \xf4\x90\x80\x80\n", "3:8", "bad-utf8")
key("latin1", (HEAD + "title: café\n").encode("latin-1"), "3:11", "bad-utf8")
key("latin1-much", HEAD.encode() + b"title: " + b"\xe9" * 500000, "3:8", "bad-utf8")
key("utf16-le", GOOD.encode("utf-16"), "1:1", "bad-utf8")
key("utf16-be", b"\xfe\xff" + GOOD.encode("utf-16-be"), "1:1", "bad-utf8")
key("utf16-no-mark", GOOD.encode("utf-16-le"), "1:2", "control-character")
key("utf32", GOOD.encode("utf-32"), "1:1", "bad-utf8")
key("nul", GOOD.replace("round, fan", "ro\0und, fan").encode(), "4:24", "control-character")
key("nul-first", b"\0" + GOOD.encode(), "1:1", "control-character")
key("nuls", b"\0" * MIB2, "1:1", "control-character")
key("escape", HEAD + "title: \x1b]0;owned\x07\n", "3:8", "control-character")
key("escape-quoted", HEAD + 'title: "\\e]0;owned\\a"\n', "3:8", "control-character")
key("c1", HEAD + "title: \x9b31m\n", "3:8", "control-character")
key("bidi", HEAD + "title: a\u202eb\n", "3:9", "control-character")
key("escape-in-name", HEAD + CHARACTERS + 'taxa:\n  "A\\e[2J": {rnak: species}\n', "7:3", "control-character")
key("carriage-returns", GOOD.replace("\n", "\r").replace("fan, width", "fun, width"), "8:52", "unknown-state")
key("line-separators", HEAD + "title: a\u2028b: c\n", r"(3|4):[0-9]+", "(syntax|control-character|unknown-field)")
key("empty", b"", "1:1", "empty-file")
key("mark-only", b"\xef\xbb\xbf", "1:1", "empty-file")
key("newlines", "\n" * MIB2, "1:1", "empty-file")
key("comments", "# nothing\n" * 200000, "1:1", "empty-file")
key("second-document", GOOD + "---\n" * 1000, "9:1", "second-document")
noise = random.Random(20260714)
write("noise.yaml", bytes(noise.randrange(256) for _ in range(300000)))
add("key", "noise.yaml", r"^noise\.yaml:1:[0-9]+: error: .*\[(control-character|bad-utf8)\]$")
printable = "abc:-[]{},&*!|>'\"%@`#?\n \t"
for seed in range(40):
    chance = random.Random(seed)
    write(f"soup-{seed}.yaml", "".join(chance.choice(printable) for _ in range(3000)))
    add("key", f"soup-{seed}.yaml", r"^[^ ]*\.yaml:[0-9]+:[0-9]+: error: .*\[[a-z0-9-]+\]$")
for seed in range(60):
    chance = random.Random(1000 + seed)
    data = bytearray(GOOD.encode() * 1)
    for _ in range(chance.randrange(1, 6)):
        at = chance.randrange(len(data))
        data[at:at + chance.randrange(3)] = chance.choice([b"", b":", b"[", b"}", b"\n", b"-", b'"', b"9", b"\t", b"\xff"])
    write(f"mutant-{seed}.yaml", bytes(data))
    add("any", f"mutant-{seed}.yaml", "")

# ---- many and large ----
wrong = "".join(f"  T{i} ficta: {{rank: species, traits: {{outline: roung{i}}}}}\n" for i in range(200))
write("two-hundred.yaml", HEAD + CHARACTERS + "taxa:\n" + wrong)
add("key200", "two-hundred.yaml", r"^two-hundred\.yaml:206:[0-9]+: error: .*\[unknown-state\]$")
wrong = "".join(f"  T{i} ficta: {{rank: species, traits: {{outline: wrong}}}}\n" for i in range(20000))
write("twenty-thousand.yaml", HEAD + CHARACTERS + "taxa:\n" + wrong)
add("key", "twenty-thousand.yaml", "19999 more places have it")
write("twenty-thousand-on-a-line.yaml", HEAD + CHARACTERS + "taxa: {" + ", ".join(
    f"T{i} ficta: {{rank: kind}}" for i in range(20000)) + "}\n")
add("key", "twenty-thousand-on-a-line.yaml", "^and 19000 more$")
names = "".join(f"  character number {i}: {{states: [a, b]}}\n" for i in range(2000))
wrong = "".join(f"      charakter number {i}: a\n" for i in range(2000))
write("near-misses.yaml", HEAD + "characters:\n" + names + "taxa:\n  T ficta:\n    rank: species\n    traits:\n" + wrong)
add("key", "near-misses.yaml", "^and 1000 more$")
key("one-long-line", "{rushlight: 1, key: long, taxa: {" + ", ".join(
    f"T{i} ficta: {{rank: species, traits: {{}}}}" for i in range(45000)) + ", wrong: {rank: kind}}}", r"1:[0-9]{6,}", "bad-choice")
key("long-scalar", HEAD + "title: " + "a" * MIB2 + "\n", "3:8", "too-large")
key("long-quoted", HEAD + 'title: "' + "a " * (MIB2 // 2) + '"\n', "3:8", "too-large")
key("long-block", HEAD + "title: |\n" + "  aaaa\n" * 300000, "3:8", "too-large")
key("long-name", HEAD + "a" * 1000 + ": 1\n", "3:1", "unknown-field")
key("long-name-quoted", HEAD + '"' + "a" * 1000000 + '": 1\n', "3:[0-9]+", "(too-large|unknown-field|syntax)")
key("states", HEAD + "characters:\n  outline:\n    states: [" + ", ".join(f"s{i}" for i in range(100000)) + "]\n",
    r"5:[0-9]+", "too-large")
key("confused", HEAD + "characters:\n  outline:\n    states: [a, b]\n    confused: [" + "[a, b], " * 200000 + "[a, c]]\n",
    r"6:[0-9]+", "unknown-state")
key("confused-group", HEAD + "characters:\n  outline:\n    states: [a, b]\n    confused: [[" + "a, b, " * 200000 + "c]]\n",
    r"6:[0-9]+", "(unknown-state|repeated-field|too-large)")
chain = "".join(f"  T{i}: {{rank: genus, within: T{i + 1}}}\n" for i in range(100000))
key("chain", HEAD + CHARACTERS + "taxa:\n" + chain + "  T100000: {rank: genus}\n", "7:3", "rank-order")
key("loop", HEAD + CHARACTERS + "taxa:\n" + chain + "  T100000: {rank: genus, within: T0}\n", r"[0-9]+:[0-9]+", "parent-loop")
key("loops", HEAD + CHARACTERS + "taxa:\n" + "".join(f"  T{i}: {{rank: genus, within: T{i}}}\n" for i in range(500)),
    "506:[0-9]+", "parent-loop")
key("sources-long", HEAD + "sources: {" + ", ".join(f"s{i}: {{cit: x}}" for i in range(900)) + "}\n", r"3:[0-9]+", "unknown-field")
key("forms", HEAD + CHARACTERS + "taxa:\n  T ficta:\n    rank: species\n    forms:\n" +
    "      - {sex: male, share: 0.5}\n" * 50000, "10:7", "shares-sum")
key("traits-many", HEAD + CHARACTERS + "taxa:\n  T ficta:\n    rank: species\n    traits:\n" +
    "".join(f"      no {i}: x\n" for i in range(50000)), "10:7", "unknown-character")
key("months", HEAD + "characters:\n  month: {setting: months}\ntaxa:\n  T ficta: {rank: species, traits: {month: [" +
    "Jan, " * 100000 + "Foo]}}\n", r"6:[0-9]+", "bad-months")
write("many-taxa.yaml", HEAD + "characters:\n  outline: {states: [round, fan]}\ntaxa:\n" + "".join(
    f"  T{i} ficta: {{rank: species, traits: {{outline: round}}}}\n" for i in range(700)))
add("alike", "many-taxa.yaml", r"\[no-difference\]$")

# ---- numbers ----
for name, value in {"huge": "9" * 400, "e999": "1e999", "nan": "nan", "inf": "inf", "minus-inf": "-.inf",
                    "hex": "0x7fffffff", "dots": "1.2.3", "negative": "-1", "long-fraction": "0." + "9" * 400}.items():
    key(f"unlisted-{name}", GOOD.replace("hostile\n", f"hostile\nunlisted: {value}\n"), "3:11", "bad-number")
for name, value in {"huge": "9" * 400, "e999": "1e999", "nan": "nan-nan", "reversed": "20-10", "open": "5-"}.items():
    key(f"range-{name}", GOOD.replace("width: 10-20", f"width: {value}"), "7:66", "(bad-range|bad-number|unknown-unit)")
key("mean-huge", GOOD.replace("width: 10-20", "width: {mean: 99999999999, sd: 1}"), "7:73", "bad-number")
key("sd-zero", GOOD.replace("width: 10-20", "width: {mean: 10, sd: 0}"), "7:81", "bad-number")
key("weights-nan", GOOD.replace("outline: round", "outline: {round: nan}"), "7:60", "bad-number")
key("reading-error-huge", GOOD.replace("10%", "1e400%"), "5:43", "bad-number")
key("version-huge", GOOD.replace("rushlight: 1", "rushlight: " + "1" * 1000), "1:12", "bad-format-version")
key("share-negative", HEAD + CHARACTERS + "taxa:\n  T ficta: {rank: species, forms: [{share: -1}, {share: 2}]}\n", "7:44", "bad-number")

# ---- quotes ----
key("quote-double", HEAD + 'title: "never closed\n' + "x: y\n" * 100000, r"[0-9]+:[0-9]+", "syntax")
key("quote-single", HEAD + "title: 'never closed\n" + "x: y\n" * 100000, r"[0-9]+:[0-9]+", "syntax")
key("flow-open", HEAD + "taxa: {A b: {rank: species\n" + "# more\n" * 100000, r"[0-9]+:[0-9]+", "syntax")
key("reserved-character", HEAD + "title: `x`\n", "3:8", "syntax")

# ---- shapes ----
for name, data in {"root-text": "just some words", "root-list": "- a\n- b\n", "root-number": "1", "root-null": "~"}.items():
    key(name, data, "1:1", "(wrong-shape|missing-field)")
for field in ("parts", "languages", "sources", "characters", "taxa", "sightings", "occurrence", "admits", "record", "title"):
    for name, value in {"text": "x", "list": "[[x]]", "map": "{x: {y: {}}}", "null": "", "empty": '""'}.items():
        base = HEAD + CHARACTERS + TAXA if field not in ("characters", "taxa") else HEAD + (TAXA if field == "characters" else CHARACTERS)
        write(f"shape-{field}-{name}.yaml", base + f"{field}: {value}\n")
        add("any", f"shape-{field}-{name}.yaml", "")
for field in ("label", "also", "ask", "reach", "effort", "misread", "bare", "setting", "states", "confused", "measure", "unit",
              "reading_error", "resolution", "words", "includes"):
    for name, value in {"list": "[[x]]", "map": "{x: {y: z}}", "null": "", "empty": '""', "quote": '"%s%n;:"'}.items():
        write(f"character-{field}-{name}.yaml", GOOD.replace("  outline: {states: [round, fan]}\n",
              f"  outline: {{states: [round, fan]}}\n  other:\n    {field}: {value}\n"))
        add("any", f"character-{field}-{name}.yaml", "")
for field in ("rank", "within", "vernacular", "also", "occurrence", "source", "traits", "forms", "caution", "authority"):
    for name, value in {"list": "[[x]]", "map": "{x: {y: z}}", "null": "", "empty": '""', "forms": "[{traits: [x]}, x, {}]"}.items():
        write(f"taxon-{field}-{name}.yaml", GOOD + f"  Third ficta:\n    {field}: {value}\n")
        add("any", f"taxon-{field}-{name}.yaml", "")

# ---- parts ----
def parts(name, listed, place, slug):
    write(f"{name}/key.yaml", HEAD + f"parts: {listed}\n" + CHARACTERS + TAXA)
    add("key", f"{name}/key.yaml", rf"^[^ ]*:{place}: error: .*\[{slug}\]$")

write("x", GOOD)
write("outside.yaml", "taxa: {}\n")
parts("part-up", "[../../x]", "3:9", "part-outside")
parts("part-absolute", "[/etc/hosts]", "3:9", "part-outside")
parts("part-home", "['~/x.yaml']", "3:9", "part-outside")
parts("part-dot", "[.]", "3:9", "part-outside")
parts("part-dots", "[..]", "3:9", "part-outside")
parts("part-empty", "['']", "3:9", "part-outside")
parts("part-null", r'["a\0b.yaml"]', "3:9", "(control-character|part-outside)")
parts("part-link", "[link.yaml]", "3:9", "(cannot-open|part-outside)")
os.symlink("../outside.yaml", "part-link/link.yaml")
parts("part-loop", "[loop.yaml]", "3:9", "(cannot-open|part-outside)")
os.symlink("loop.yaml", "part-loop/loop.yaml")
parts("part-fifo", "[fifo.yaml]", "3:9", "(cannot-open|part-outside)")
os.mkfifo("part-fifo/fifo.yaml")
parts("part-folder", "[folder.yaml]", "3:9", "(cannot-open|part-outside)")
os.mkdir("part-folder/folder.yaml")
parts("part-missing", "[missing.yaml]", "3:9", "cannot-open")
parts("part-twice", "[one.yaml, one.yaml]", "3:19", "repeated-field")
write("part-twice/one.yaml", "sources: {}\n")
parts("part-itself", "[key.yaml]", r"([0-9]+):[0-9]+", "(part-outside|repeated-field|unknown-field|repeated-name)")
parts("part-with-parts", "[inner.yaml]", "1:1", "unknown-field")
write("part-with-parts/inner.yaml", "parts: [inner.yaml]\n")
parts("part-long", "[" + "a" * 5000 + "]", "3:9", "(cannot-open|part-outside)")
parts("parts-many", "[" + ", ".join(f"p{i}.yaml" for i in range(20000)) + "]", "3:9", "cannot-open")
parts("part-escape", '["a\\e[2J.yaml"]', "3:9", "(control-character|cannot-open)")

# ---- observation lines ----
lines("line-million", "outline: " + "a" * 1000000 + "\nrund\n", "2:1", "unknown-answer")
lines("line-million-quote", 'notes: "' + "a" * 1000000 + "\nrund\n", "2:1", "unknown-answer")
lines("line-no-end", b"a" * 3000000, "1:65537", "line-too-long")
lines("line-noise", bytes(noise.randrange(256) for _ in range(300000)), r"1:[0-9]+", "(bad-utf8|control-character|unknown-answer|unknown-character)")
lines("line-nuls", b"\0" * 300000, r"1:[0-9]+", "(control-character|line-too-long)")
lines("line-escape", b"outline: \x1b[2Jround\nid: \x9b; fan\nid: \x07\n", "1:10", "control-character")
lines("line-bidi", "outline: fan; notes: a\u202eb\n", "1:23", "control-character")
write("line-or.txt", "outline: " + "round or " * 7000 + "fan\n" + "outline: not " + "round, " * 9000 + "round\n"
      + "outline: " + "round/" * 10000 + "round\n" + "round or " * 7000 + "fan\n")
add("any-lines", "line-or.txt", "")
lines("line-or-wrong", "outline: " + "round or rund or " * 3800 + "fan\n", "1:19", "unknown-state")
lines("line-or-bare-wrong", "round or rund or " * 3800 + "fan\n", "1:1", "unknown-answer")
lines("line-nots", "outline: " + "not " * 16000 + "fan\n", r"1:[0-9]+", "(unknown-state|or-not)")
lines("line-semicolons", ";" * 65000 + "rund\n", "1:65001", "unknown-answer")
lines("line-colons", ":" * 65000 + "\n", r"1:[0-9]+", r"[a-z-]+")
lines("line-quotes", '"' * 64999 + "\n", r"1:[0-9]+", "unclosed-quote")
lines("line-many-wrong", "a: b; " * 10000 + "\n", "1:1", "unknown-character")
lines("line-many-answers", "outline: fan; " * 4000 + "\n", "1:15", "repeated-answer")
lines("line-many-bare", "rund; " * 10000 + "\n", "1:1", "unknown-answer")
lines("lines-many-wrong", "rund\n" * 20000, "20000:1", "unknown-answer")
for name, value in {"huge": "9" * 400, "e999": "1e999", "nan": "nan", "inf": "inf", "reversed": "2-1", "dashes": "1" + "-" * 1000,
                    "digits": "1" * 60000, "units": "1 " + "m" * 60000}.items():
    lines(f"number-{name}", f"width: {value}\n", "1:([89]|10)", "(not-a-number|reversed|unknown-unit)")
write("numbers-odd.txt", "width: 999999999999999999\nwidth: 0\nwidth: -5\nwidth: 0.000000000000000001\nwidth: 0-0\n"
      "width: under -5\nwidth: over 999999999999999999 m\nwidth: 0.00000000000001 in\nwidth: -5--4\nwidth: about 0\n"
      "width: measured 0\nwidth: 100000000000000 m - 100000000000000000 m\n")
add("finite", "numbers-odd.txt", "")
write("line-breaks.txt", "fan\r\r\n\n\r\nround\x0b\x0c\nfan\u2028round\n\u0085fan\n")
add("any-lines", "line-breaks.txt", "")

# ---- tables and JSON lines ----
def table(name, data, place, slug):
    write(name + ".csv", data)
    add("csv", name + ".csv", rf"^[^ ]*:{place}: error: .*\[{slug}\]$")


def objects(name, data, place, slug):
    write(name + ".jsonl", data)
    add("jsonl", name + ".jsonl", rf"^[^ ]*:{place}: error: .*\[{slug}\]$")


table("table-wide", "id," + "outline," * 8000 + "\nA-1,round\n", "1:12", "repeated-answer")
table("table-unknown", ",".join(f"shap{i}" for i in range(5000)) + "\n", "1:1", "unknown-character")
table("table-not-one", "outline: round; width: 12\noutline: fan\n", "1:1", "unknown-character")
table("table-open", 'id,outline\n"' + "A-1,round\n" * 20000, "2:1", "unclosed-quote")
table("table-open-each", "id,outline\n" + '"A-1,round\n' * 20000, "2:1", "unclosed-quote")
table("table-doubled", "outline,id\n" + '"""a\n' * 20000, "2:1", "unclosed-quote")
table("table-open-doubled", 'id,outline\n"x' + '""\n' * 40000, "2:1", "unclosed-quote")
table("table-long-row", "id,outline\nA-1," + "x" * MIB2 + "\nA-2,rund\n", "3:5", "unknown-state")
table("table-long-cell", 'id,outline\nA-1,"' + "x" * MIB2 + '"\nA-2,rund\n', "2:65537", "line-too-long")
table("table-cells", "id,outline\nA-1," + "," * 60000 + "x\n", "2:60005", "extra-cell")
table("table-controls", 'id,outline\nA-1,"ro\x1b[31mund"\n', "2:8", "control-character")
table("table-return", "id,outline\nA-1,ro\rund\n", "2:7", "control-character")
objects("object-nest", '{"outline": ' + "[" * 60000 + "\n", "1:[0-9]+", "bad-json")
objects("object-deep", '{"outline": ' + "[" * 1000 + "]" * 1000 + "}\n", "1:14", "bad-value")
objects("object-braces", "{" * 60000 + "\n", "1:[0-9]+", "bad-json")
objects("object-names", "{" + ",".join(f'"shap{i}": 1' for i in range(4000)) + "}\n", "1:2", "unknown-character")
objects("object-escapes", '{"notes": "' + r"\u001b" * 5000 + '"}\n', "1:11", "control-character")
objects("object-surrogate", r'{"notes": "\ud800"}' + "\n", "1:[0-9]+", "bad-json")
objects("object-nul", r'{"notes": "a\u0000b"}' + "\n", "1:[0-9]+", "bad-json")
objects("object-numbers", '{"width": 1e400}\n{"width": ' + "9" * 500 + "}\n", "1:[0-9]+", "bad-json")
objects("object-list", '{"outline": [' + ", ".join(['"round"'] * 5000) + "]}\n", "1:13", "unknown-state")


# ---- tables to sow ----
def sow(name, data, place, slug):
    write(name + ".csv", data)
    add("sow", name + ".csv", rf"^[^ ]*:{place}: error: .*\[{slug}\]$")


sow("sow-wide", "taxon," + "a," * 9000 + "\nTidella ficta,round\n", "1:9", "repeated-name")
sow("sow-wide-row", "taxon,a\nTidella ficta,round" + ",x" * 9000 + "\n", "2:21", "wrong-shape")
sow("sow-empty-cells", "taxon," + ",".join(f"c{i}" for i in range(4000)) + "\n" +
    "".join(f"T{i}\n" for i in range(20000)) + "T0\n", "20002:1", "repeated-name")
sow("sow-forms", "taxon,sex,form\n" + "".join(f"Tidella ficta,male,f{i}\n" for i in range(20000)) +
    "Tidella ficta,male,f7\n", "20002:15", "repeated-name")
sow("sow-states", "taxon,a\n" + "".join(f"Tidella n{i},s{i}\n" for i in range(5000)), "66:13", "too-large")
sow("sow-one-cell", 'taxon,a\nTidella ficta,"' + "a|" * MIB2 + '"\n', "2:15", "too-large")
sow("sow-parts", 'taxon,a\nTidella ficta,"' + "|" * 16000 + '"\n', "2:15", "wrong-shape")
sow("sow-open", 'taxon,a\nTidella ficta,"' + "a,b\n" * 200000, "2:15", "unclosed-quote")
sow("sow-quotes", "taxon,a\nTidella ficta," + '"' * 999999 + "\n", "2:15", "(unclosed-quote|too-large)")
sow("sow-brackets", "taxon," + "(" * 8000 + ")" * 7999 + "\nTidella ficta,a\n", "1:7", "bad-id")
sow("sow-within", "taxon,rank,within\n" + "".join(f"T{i},genus,T{i + 1}\n" for i in range(20000)), "2:1", "rank-order")
sow("sow-controls", "taxon,a\nTidella ficta,\x1b[31m\nT,\u202ex\n", "3:3", "control-character")
sow("sow-nul", b"taxon,a\nTidella ficta,a\0b\n", "2:15", "control-character")
sow("sow-latin", "taxon,a\nTidella ficta\n".encode() + b"T\xe9,a\n" * 5000, "3:1", "bad-utf8")
write("good.yaml", GOOD)
write("lines.empty", "")
with open("list", "w", encoding="utf-8") as file:
    file.write("\n".join(rows) + "\n")
