#!/usr/bin/env python3
"""Every slug is explained, and every example shows what it says it shows.

usage: explain.py PROGRAM

The examples are read as a person reads them, from `rushlight check --explain SLUG`. An example holds whole
sections of a key; those that it leaves out are these.
"""
import json
import os
import re
import subprocess
import sys
import tempfile

USUAL = {
    "rushlight": "rushlight: 1\n",
    "key": "key: driftline\n",
    "characters": "characters:\n  outline: {states: [round, fan]}\n"
                  "  width: {measure: length, reading_error: 10%}\n  month: {setting: months}\n",
    "taxa": "taxa:\n  Tidella ficta: {rank: species, traits: {outline: round, width: 10-20}}\n"
            "  Murmica ficta: {rank: species, traits: {outline: fan, width: 30-50}}\n",
}
# What cannot be shown in a few lines of text.
WITHOUT = {"out-of-memory", "cannot-open", "bad-utf8", "control-character", "too-large", "too-deep", "empty-file",
           "line-too-long", "bad-figure", "figure-cut", "which-character", "nothing-fits", "empty-part",
           "left-out", "unread-rows"}
LINES = {"unclosed-quote", "repeated-answer", "unknown-answer", "or-not", "nothing-left", "not-a-number", "reversed",
         "bad-date", "bad-count", "bad-uncertainty", "no-answers", "off-scale",
          "bad-coordinates", "other-month"}

TABLES = {"extra-cell": "csv", "bad-json": "jsonl", "bad-value": "jsonl"}  # lines that are read otherwise
LINES |= set(TABLES)

program, failures = sys.argv[1], 0


def fail(slug, what):
    global failures
    failures += 1
    print(f"FAILED explain/{slug}: {what}")


def run(*words, text=None):
    done = subprocess.run([program, *words], input=text, capture_output=True, text=True)
    return done.stdout, done.stderr


def whole_key(example):
    given = set(re.findall(r"^(\w+):", example, re.M))
    return "".join(text for name, text in USUAL.items() if name not in given) + example


def found_in_key(example, folder):
    path = os.path.join(folder, "key.yaml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(whole_key(example))
    out, _ = run("check", "--out", "json", path)
    return {f["slug"]: f["severity"] for f in json.loads(out)["keys"][0]["findings"]}


def found_in_line(example, folder, form):
    path = os.path.join(folder, "key.yaml")
    with open(path, "w", encoding="utf-8") as file:
        file.write("".join(USUAL.values()))
    out, _ = run("rank", "--key", path, "--in", form, "--out", "jsonl", text=example + "\n")
    result = json.loads(out)
    return {said["slug"]: severity for severity in ("warning", "error") for said in result.get(severity + "s", [])}


def examples_of(said):
    parts = re.split(r"^(?:Wrong|Right):\n\n", said, flags=re.M)
    return parts[0], ["".join(line[4:] + "\n" for line in part.rstrip("\n").split("\n"))
                      for part in parts[1:]]


header = os.path.join(os.path.dirname(__file__), "../../include/rushlight/diagnostic.h")
slugs = re.findall(r'^ *X\([A-Z0-9_]+, "([a-z0-9-]+)"', open(header, encoding="utf-8").read(), re.M)
assert len(slugs) > 70, len(slugs)
with tempfile.TemporaryDirectory() as folder:
    for slug in slugs:
        said, _ = run("check", "--explain", slug)
        text, examples = examples_of(said)
        if len(text.split()) < 20:
            fail(slug, "hardly anything is explained")
        if (slug in WITHOUT) != (len(examples) == 0) or len(examples) not in (0, 2):
            fail(slug, f"{len(examples)} examples")
        if len(examples) != 2:
            continue
        wrong, right = (found_in_line(example.rstrip("\n"), folder, TABLES.get(slug, "lines"))
                        if slug in LINES else found_in_key(example, folder) for example in examples)
        if slug not in wrong:
            fail(slug, f"the wrong example gives {sorted(wrong)}")
        if slug in right or "error" in right.values():
            fail(slug, f"the right example gives {sorted(right)}")
        if [s for s in wrong if wrong[s] == "error" and s != slug]:
            fail(slug, f"the wrong example gives other errors too: {sorted(wrong)}")
said, problem = run("check", "--explain", "not-itsel")
if "did you mean 'not-itself'?" not in problem:
    fail("a slug that is none", problem)
print(f"explain: {len(slugs)} slugs, {failures} failures")
sys.exit(failures > 0)
