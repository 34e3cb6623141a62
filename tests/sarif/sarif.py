#!/usr/bin/env python3
"""What `check --out sarif` writes is valid SARIF 2.1.0, and points where it says.

usage: sarif.py PROGRAM

Validated against the standard's own JSON Schema (tests/reference), over the fixture of every slug, over keys under
odd names, and over characters outside the basic plane. What a schema cannot see is looked at here: that a region's
line, column (in code points) and bytes are one place of the file, that a URI is the file's name (RFC 3986,
section 2.1), that each rule is the one that its index says, and that the findings are those of `--out json`.
"""
import copy
import json
import os
import re
import subprocess
import sys
import tempfile
from urllib.parse import unquote_to_bytes

import jsonschema

here = os.path.dirname(os.path.abspath(__file__))
program = os.path.abspath(sys.argv[1])
with open(os.path.join(here, "../reference/sarif-schema-2.1.0.json"), encoding="utf-8") as file:
    schema = json.load(file)
validator = jsonschema.validators.validator_for(schema)(schema)
failures = looked = 0
BREAK = "\r\n|\n|\r|\x85|\u2028|\u2029"  # a line ends there in YAML 1.1, and in the log's newlineSequences


def fail(name, what):
    global failures
    failures += 1
    print(f"FAILED sarif/{name}: {what}")


def check(folder, out, *names):
    done = subprocess.run([program, "check", "--out", out, *names], cwd=folder, capture_output=True)
    return json.loads(done.stdout.decode("utf-8")), done.returncode


def path_of(uri):
    """The name that a URI reference stands for: bytes, as the system has them."""
    return unquote_to_bytes(uri[len("file://"):] if uri.startswith("file:///") else uri)


def offset_of(data, line, column):
    """The byte at which a line and column stand, both from 1, reckoned without the program."""
    text = data.decode("utf-8")
    start = 1 if text.startswith("\ufeff") else 0
    starts = [start] + [found.end() for found in re.finditer(BREAK, text)]
    return len(text[:starts[line - 1] + column - 1].encode("utf-8"))


def look_at_place(name, folder, place, given):
    physical = place["physicalLocation"]
    path = path_of(physical["artifactLocation"]["uri"])
    if path != os.fsencode(given.get("file", "")):
        fail(name, f"the URI {physical['artifactLocation']['uri']} is not the file {given.get('file')}")
    region = physical.get("region")
    if not region:
        if "line" in given:
            fail(name, f"no region for line {given['line']}")
        return
    same = [("startLine", "line"), ("startColumn", "column"), ("endColumn", "end_column"),
            ("byteOffset", "offset"), ("byteLength", "length")]
    for one, other in same:
        if region[one] != given[other]:
            fail(name, f"{one} {region[one]} is not {given[other]}")
    whole = os.path.join(os.fsencode(folder), path)
    if not os.path.exists(whole):
        return
    with open(whole, "rb") as file:
        data = file.read()
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return
    if offset_of(data, region["startLine"], region["startColumn"]) != region["byteOffset"]:
        fail(name, f"line {region['startLine']}, column {region['startColumn']} is not byte {region['byteOffset']}")


def look(name, folder, *keys):
    global looked
    looked += 1
    log, status = check(folder, "sarif", *keys)
    plain, other_status = check(folder, "json", *keys)
    for error in validator.iter_errors(log):
        fail(name, f"{'/'.join(map(str, error.path))}: {error.message[:200]}")
    run = log["runs"][0]
    given = [finding for key in plain["keys"] for finding in key["findings"]]
    rules = run["tool"]["driver"]["rules"]
    if status != other_status or len(run["results"]) != len(given):
        fail(name, f"{len(run['results'])} results, status {status}; as JSON {len(given)}, {other_status}")
    if run["columnKind"] != "unicodeCodePoints":
        fail(name, f"columns are {run['columnKind']}")
    if not set(run["newlineSequences"]) == set(["\r\n"] + BREAK.split("|")):
        fail(name, f"lines end at {run['newlineSequences']}")
    if run["invocations"][0]["executionSuccessful"] != all(key["read"] for key in plain["keys"]):
        fail(name, "whether it was carried out is not what the keys say")
    for result, finding in zip(run["results"], given):
        if not result["ruleId"] == finding["slug"] == rules[result["ruleIndex"]]["id"]:
            fail(name, f"rule {result['ruleIndex']} is not {finding['slug']}")
        if result["level"] != finding["severity"]:
            fail(name, f"{finding['slug']} is of level {result['level']}, not {finding['severity']}")
        if finding["message"] not in result["message"]["text"]:
            fail(name, f"{finding['slug']} says something else")
        look_at_place(name, folder, result["locations"][0], finding)
        for place in result.get("relatedLocations", []):
            look_at_place(name, folder, place, finding["other"])
    marks = [json.dumps(result["partialFingerprints"], sort_keys=True) + result["ruleId"] for result in run["results"]]
    if len(set(marks)) != len(marks):
        fail(name, "two results have the same fingerprint")
    return log


def look_at_fixtures():
    diagnostics = os.path.join(here, "../diagnostics")
    for slug in sorted(os.listdir(diagnostics)):
        folder = os.path.join(diagnostics, slug)
        if os.path.exists(os.path.join(folder, "key.yaml")):
            look(slug, folder, "key.yaml")


FAULTY = """rushlight: 1
key: driftline
characters:
  outline: {states: [round, fan]}
taxa:
  Tidella ficta: {vernacular: "\U0001d11e\U0001f98b shell", traits: {outline: oval}}
  Murmica ficta: {vernacular: "e\u0301", traits: {outline: \U0001f41a}, \U0001d11e: x}
"""


def look_at_names():
    names = ["a space.yaml", "caf\u00e9.yaml", "100%25.yaml", "a:b.yaml", "#mark?.yaml", "[list]&'\".yaml", "\U0001f98b.yaml",
             "back\\slash.yaml", "new\nline.yaml", "-dash.yaml", "~tilde+plus=.yaml"]
    with tempfile.TemporaryDirectory() as folder:
        for name in names:
            with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
                file.write(FAULTY)
            log = look(f"the name {name!r}", folder, "./" + name if name[0] == "-" else name)
            if len(log["runs"][0]["results"]) < 3:
                fail(f"the name {name!r}", "nothing is found in it")
        look("a whole path", folder, os.path.join(folder, names[0]))
        look("several keys", folder, *names[:4], "missing.yaml")
        look("a key that is not there", folder, "missing.yaml")
        os.mkdir(os.path.join(folder, "caf\u00e9 folder"))
        with open(os.path.join(folder, "caf\u00e9 folder", "key.yaml"), "w", encoding="utf-8") as file:
            file.write("rushlight: 1\nkey: driftline\nparts: [p%20.yaml]\n")
        with open(os.path.join(folder, "caf\u00e9 folder", "p%20.yaml"), "w", encoding="utf-8") as file:
            file.write(FAULTY[FAULTY.index("characters:"):])
        look("a folder with a part", folder, "caf\u00e9 folder")
        for ending in ["\r\n", "\r", "\x85", "\u2028"]:
            with open(os.path.join(folder, "key.yaml"), "w", encoding="utf-8", newline="") as file:
                file.write("\ufeff" + FAULTY.replace("\n", ending))
            look(f"lines that end in {ending!r}", folder, "key.yaml")


def look_at_columns():
    """Columns of faults behind characters that take two units of UTF-16 and four bytes of UTF-8."""
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "key.yaml"), "w", encoding="utf-8") as file:
            file.write(FAULTY)
        log = look("columns", folder, "key.yaml")
    lines = FAULTY.split("\n")
    places = {(r["ruleId"], r["locations"][0]["physicalLocation"]["region"]["startLine"],
               r["locations"][0]["physicalLocation"]["region"]["startColumn"],
               r["locations"][0]["physicalLocation"]["region"]["endColumn"]) for r in log["runs"][0]["results"]}
    for slug, line, wrong in [("unknown-state", 6, "oval"), ("unknown-state", 7, "\U0001f41a"),
                              ("unknown-field", 7, "\U0001d11e")]:
        column = lines[line - 1].index(wrong) + 1
        if (slug, line, column, column + len(wrong)) not in places:
            fail("columns", f"{slug} is not at {line}:{column}, but in {sorted(places)}")


def look_at_validator(log):
    """The schema refuses logs that are none: else this test could not fail."""
    def spoil(change):
        spoilt = copy.deepcopy(log)
        change(spoilt, spoilt["runs"][0], spoilt["runs"][0]["results"][0])
        return validator.is_valid(spoilt)
    wrong = {
        "without a version": lambda whole, run, result: whole.pop("version"),
        "without a tool": lambda whole, run, result: run.pop("tool"),
        "without a message": lambda whole, run, result: result.pop("message"),
        "of an unknown property": lambda whole, run, result: result.update(colour="red"),
        "of an unknown level": lambda whole, run, result: result.update(level="fatal"),
        "of line 0": lambda whole, run, result: result["locations"][0]["physicalLocation"]["region"].update(startLine=0),
        "of columns of no kind": lambda whole, run, result: run.update(columnKind="bytes"),
    }
    for name, change in wrong.items():
        if spoil(change):
            fail("the validator", f"a log {name} passes")


look_at_fixtures()
look_at_names()
look_at_columns()
look_at_validator(check(os.path.join(here, "../diagnostics/unknown-state"), "sarif", "key.yaml")[0])
print(f"sarif: {looked} logs, {failures} failures")
sys.exit(failures > 0)
