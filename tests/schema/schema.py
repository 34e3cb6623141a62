#!/usr/bin/env python3
"""The JSON Schema of keys, against the loader.

usage: schema.py PROGRAM ROOT

The keys that ship and those of the tests pass; every fixture of tests/diagnostics, and many small changes to good
keys, are judged by the schema as the loader judges them, as far as a schema can see.

Keys are read here as the format has it: a scalar is the text that stands there, and only digits that are written
as the format writes a number become one. What a usual reader of YAML makes of a legal key passes too.
"""
import copy
import json
import os
import random
import re
import subprocess
import sys
import tempfile

import jsonschema
import yaml

program, root = os.path.abspath(sys.argv[1]), sys.argv[2]
failures = 0

# What the loader finds and a schema can see as well, always; in traits some of it depends on the character's kind.
SEEN = {"unknown-field", "missing-field", "bad-format-version", "wrong-shape", "bad-number", "too-few-states",
        "reserved-name", "part-outside", "bad-range", "bad-sketch", "too-large", "bad-choice", "bad-id",
        "bad-figure", "bad-language"}
# What it cannot see by nature: what is no YAML (the reader stops, or drops it), what one thing says of another
# (references, names given twice, sums, order, kinds), and all that is reckoned.
READER = {"cannot-open", "bad-utf8", "control-character", "syntax", "tab", "too-deep", "yaml-extra",
          "second-document", "repeated-field"}
RELATIONS = {"repeated-name", "unknown-character", "unknown-state", "unknown-taxon",
             "unknown-source", "unknown-unit", "wrong-trait", "weights-sum", "shares-sum", "misplaced-forms",
             "parent-loop", "rank-order", "sighting-unread", "sighting-fails"}
# Within SEEN, what hangs on something else in the file or on Unicode: the loader says these too.
HIDDEN = [("bad-choice", "is not an occurrence"), ("bad-language", "is not a language of this key"),
          ("bad-id", "whose name is too long"),
          ("wrong-shape", "where a range should stand"), ("wrong-shape", "where months should stand"),
          ("bad-figure", "document type"), ("bad-figure", "well-formed"), ("bad-figure", "no size"),
          ("bad-figure", "not an SVG"), ("bad-figure", "larger than"), ("bad-figure", "too elaborate"),
          ("bad-range", ""), ("missing-field", "a number needs"), ("unknown-field", "a number trait has")]
# Keywords that mean the same in draft-07 and in 2020-12.
COMMON = {"$schema", "$ref", "$comment", "title", "description", "default", "examples", "definitions", "type", "enum",
          "const", "allOf", "anyOf", "oneOf", "not", "if", "then", "else", "properties", "patternProperties",
          "additionalProperties", "propertyNames", "required", "minProperties", "maxProperties", "items", "minItems",
          "maxItems", "uniqueItems", "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "minLength",
          "maxLength", "pattern"}


def fail(what, why):
    global failures
    failures += 1
    print(f"FAILED schema/{what}: {why}")


# ---- reading ----------------------------------------------------------------------------------------------------

NUMBER = re.compile(r"-?[0-9]{1,18}(\.[0-9]+)?\Z")


class Refused(Exception):
    pass


def as_written(node):
    """The format's reading: nothing is guessed."""
    if isinstance(node, yaml.ScalarNode):
        if not node.style and node.value == "":
            return None
        if not node.style and node.value in ("true", "false"):
            return node.value == "true"
        return float(node.value) if NUMBER.match(node.value) else node.value
    if isinstance(node, yaml.SequenceNode):
        return [as_written(item) for item in node.value]
    made = {}
    for name, value in node.value:
        if not isinstance(name, yaml.ScalarNode) or name.value in made:
            raise Refused("a field that is none, or twice")
        made[name.value] = as_written(value)
    return made


def read_as_written(text):
    try:
        node = yaml.compose(text, Loader=yaml.CSafeLoader)
    except (yaml.YAMLError, ValueError, RecursionError) as fault:
        raise Refused(str(fault)) from fault
    return as_written(node) if node else None


def plain(value):
    """What a usual reader made of YAML 1.1, as JSON has it."""
    if isinstance(value, dict):
        return {name if isinstance(name, str) else json.dumps(plain(name)): plain(item)
                for name, item in value.items()}
    if isinstance(value, list):
        return [plain(item) for item in value]
    return value if value is None or isinstance(value, (str, bool, int, float)) else str(value)


# ---- judging ----------------------------------------------------------------------------------------------------

with open(os.path.join(root, "keys/rushlight-key.schema.json"), encoding="utf-8") as file:
    schema = json.load(file)
drafts = (jsonschema.Draft7Validator, jsonschema.Draft202012Validator)
for draft in drafts:
    draft.check_schema(schema)
validators = [draft(schema) for draft in drafts]


def complaints(document, what):
    """What the schema has against a document; both drafts say the same."""
    refused = [not validator.is_valid(document) for validator in validators]
    if refused[0] != refused[1]:
        fail(what, f"the drafts differ: {refused}")
    return [f"/{'/'.join(map(str, e.absolute_path))}: {e.message[:160]}"
            for e in validators[0].iter_errors(document)] if refused[0] else []


def check_schema_itself(part, path="#"):
    """Common keywords alone, and a description of everything that an author writes."""
    if not isinstance(part, dict):
        return
    for word in set(part) - COMMON:
        fail(path, f"'{word}' is not a keyword of both drafts")
    if "$ref" in part and len(part) > 1:
        fail(path, "draft-07 passes over what stands beside $ref")
    for word in ("properties", "definitions", "patternProperties"):
        for name, inner in part.get(word, {}).items():
            aim = inner
            while "$ref" in aim:
                aim = schema["definitions"][aim["$ref"].rsplit("/", 1)[1]]
            conditional = re.search(r"/(if|then|else)\b", path) or inner == {"const": "months"}
            if word == "properties" and not conditional and len(aim.get("description", "")) < 10:
                fail(f"{path}/{word}/{name}", "no description")
            check_schema_itself(inner, f"{path}/{word}/{name}")
    for word in ("allOf", "anyOf", "oneOf"):
        for at, inner in enumerate(part.get(word, [])):
            check_schema_itself(inner, f"{path}/{word}/{at}")
    for word in ("not", "if", "then", "else", "items", "additionalProperties", "propertyNames"):
        check_schema_itself(part.get(word), f"{path}/{word}")


def loader_says(paths):
    """What `check` finds in each file; severe findings alone."""
    done = subprocess.run([program, "check", "--out", "json", *paths], capture_output=True, check=False)
    keys = json.loads(done.stdout)["keys"]
    return [[f for f in key["findings"] if f["severity"] == "error"] for key in keys]


def visible(finding):
    """Whether the schema must see this."""
    return finding["slug"] in SEEN and not any(
        finding["slug"] == slug and words in finding["message"] for slug, words in HIDDEN)


def compare(what, document, findings):
    """The schema refuses nothing that the loader takes, and all that it can see of what the loader refuses."""
    said = complaints(document, what)
    must = [f for f in findings if visible(f) and not any(o["slug"] in READER for o in findings)]
    told = [f"{f['slug']}: {f['message']}" for f in findings]
    if said and not findings:
        fail(what, f"only the schema refuses it: {said}")
    if must and not said:
        fail(what, f"only the loader refuses it: {told}")
    return bool(said)


# ---- good keys --------------------------------------------------------------------------------------------------

def good_files():
    for top in ("keys", "demo", "tests/reference", "tests/schema", "tests/cases"):
        for folder, _, names in sorted(os.walk(os.path.join(root, top))):
            yield from (os.path.join(folder, name) for name in sorted(names) if name.endswith(".yaml"))


def check_good():
    count = 0
    for path in good_files():
        name = os.path.relpath(path, root)
        with open(path, encoding="utf-8") as opened:
            text = opened.read()
        try:
            document = read_as_written(text)
        except Refused:
            document = None
        if not isinstance(document, dict) or "rushlight" in document and loader_says([path])[0]:
            continue  # a key that is wrong on purpose
        count += 1
        for reading, read in (("as written", document), ("as usual", plain(yaml.load(text, Loader=yaml.CSafeLoader)))):
            for said in complaints(read, name)[:3]:
                fail(name, f"{reading}: {said}")
    for name in ("sow-good/shells.csv", "sow-odd/odd.csv"):
        count += 1
        table = os.path.join(root, "tests/cases", name)
        text = subprocess.run([program, "sow", table], capture_output=True, check=True).stdout.decode("utf-8")
        for document in (read_as_written(text), plain(yaml.load(text, Loader=yaml.CSafeLoader))):
            for said in complaints(document, name)[:3]:
                fail(name, f"what is sown: {said}")
    return count


# ---- fixtures ---------------------------------------------------------------------------------------------------

def check_fixtures():
    folder, judged, count = os.path.join(root, "tests/diagnostics"), 0, 0
    header = os.path.join(root, "include/rushlight/diagnostic.h")
    with open(header, encoding="utf-8") as opened:
        severities = dict(re.findall(r'^ *X\([A-Z0-9_]+, "([a-z0-9-]+)", ([A-Z]+)', opened.read(), re.M))
    for slug in sorted(os.listdir(folder)):
        path = os.path.join(folder, slug, "key.yaml")
        if not os.path.isfile(path):
            continue
        count += 1
        with open(path, "rb") as opened:
            text = opened.read()
        findings = loader_says([path])[0]
        try:
            document = read_as_written(text)
        except Refused as fault:
            if not findings:
                fail(slug, f"only the reader refuses it: {fault}")
            continue
        if document is None:
            if not findings:
                fail(slug, "an empty file passes")
            continue
        said = compare(f"diagnostics/{slug}", document, findings)
        judged += 1
        if slug in SEEN and not said:
            fail(slug, "the schema sees nothing wrong in the fixture")
        if slug in RELATIONS and said:
            fail(slug, f"more can be seen than was thought: {complaints(document, slug)}")
    for slug in SEEN | READER | RELATIONS:
        if severities.get(slug) != "ERROR":
            fail(slug, "no slug of severity error has this name")
    return count, judged


# ---- changes to good keys ---------------------------------------------------------------------------------------

BLANK = object()


def write(value):
    """The document as YAML in flow style: a text is quoted, a blank stays blank."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(name)}: {write(item)}" for name, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(write(item) if item is not None else '""' for item in value) + "]"
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.9f}".rstrip("0").rstrip(".")
    return json.dumps(value)


def places(value, path=()):
    yield path
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, item in items:
        yield from places(item, path + (name,))


def change(document, dice):
    """One small change at one place."""
    changed = copy.deepcopy(document)
    path = dice.choice([p for p in places(changed) if p])
    holder = changed
    for name in path[:-1]:
        holder = holder[name]
    name, kind = path[-1], dice.randrange(6)
    values = [None, "", "round", 7.0, -1.0, 0.3, 99999999.0, True, [], {}, ["round"], ["a", "b"], {"x": "y"},
              {"is": "round"}, {"round": 0.5, "fan": 0.5}, {"mean": 3.0}, [["a", "b"]], "10-20", "5%", "Apr-Oct", "-",
              "a: b", {"source": "pier"}, {"note": "n"}, {"range": "10-20"}, {"states": ["a", "b"]}, "date"]
    if kind == 0:
        del holder[name]
    elif kind == 1 and isinstance(holder, dict):
        fresh = dice.choice(["zzz", str(name) + "x", "states", "measure", "source", "title", "rank", "is", "-", "Notes",
                             "sketch", "forms", "sex"])
        if fresh in holder:
            return changed, path
        moved = list(holder.items())
        holder.clear()
        holder.update((fresh if n == name else n, v) for n, v in moved)
    elif kind == 2 and isinstance(holder, dict):
        fresh = dice.choice(["zzz", "states", "measure", "source", "note", "rank", "is", "parts", "title", "share",
                             "range", "setting", "label"])
        holder.setdefault(fresh, dice.choice(values))
    else:
        holder[name] = dice.choice(values)
    return changed, path


def check_changes(count):
    dice = random.Random(20260704)
    with open(os.path.join(root, "tests/schema/whole.yaml"), encoding="utf-8") as opened:
        base = read_as_written(opened.read())
    refused = 0
    with tempfile.TemporaryDirectory() as folder:
        made = []
        for at in range(count):
            document, path = change(base, dice)
            file_path = os.path.join(folder, f"{at}.yaml")
            with open(file_path, "w", encoding="utf-8") as opened:
                opened.write(write(document) + "\n")
            made.append((document, path, file_path))
        for start in range(0, count, 200):
            some = made[start:start + 200]
            for (document, path, file_path), findings in zip(some, loader_says([m[2] for m in some])):
                refused += compare(f"change {os.path.basename(file_path)} at /{'/'.join(map(str, path))}", document,
                                   findings)
    return refused


check_schema_itself(schema)
good = check_good()
fixtures, judged = check_fixtures()
CHANGES = 1200
refused = check_changes(CHANGES)
print(f"schema: {good} good files; {judged} of {fixtures} fixtures judged; {CHANGES} changes, {refused} refused; "
      f"{failures} failures")
if good < 20 or judged < 40 or refused < CHANGES // 5:
    fail("numbers", "hardly anything was tried")
sys.exit(failures > 0)
