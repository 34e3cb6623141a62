#!/usr/bin/env python3
"""One sighting gives one result, whether it is written as a line, as a row of CSV or as a JSON object, and with
however many jobs.

usage: forms.py PROGRAM [SEED]

Sightings are made from a seed, wrong answers among them. CSV and JSON are written by Python's own modules (RFC
4180, RFC 8259), lines by hand. What may differ is what is left out: where something stands, and how it was
written.
"""
import csv
import io
import json
import os
import random
import subprocess
import sys
import tempfile

program, seed = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 1
here = os.path.dirname(os.path.abspath(__file__))
key = os.path.join(here, "../cases/keys/shore")
SIGHTINGS = 600

# Names of every kind, and answers that they know; the last ones of each are wrong.
STATES = {
    "outline": ["round", "circular", "oval", "fan-shaped", "Fanlike", "tall and pointed", "waaiervormig", "square"],
    "Main colour": ["white", "tan", "red or orange", "none_at_all", "glassy/clear", "bruin", "purple"],
    "hinge": ["straight", "krom", "bent"],
    "rim": ["straight", "TOOTHED", "-", "jagged"],
    "spur": ["present", "not present", "absent", "maybe"],
    "month": ["July", "7", "2026-07-14", "Okt"],
    "breedte": ["34", "34 mm", "3,4 cm", "30-36 mm", "about 34", "measured 34.2", "under 40", "small", "wide", "36-30"],
    "ribs": ["12", "10 to 12", "about 12", "many"],
    "taxon": ["Tidella", "Murmica ficta", "Nothing"],
}
FIELDS = {
    "id": ["A-1", "a; b", 'the "old" one', "\u00e9tang 7"],
    "date": ["2026-06-14", "2026-06", "14/06/2026"],
    "eventDate": ["2026-07-02"],
    "place": ["Marl Pit, an invented pond", "a: b; c", "x\ty"],
    "locality": ["Marl Pit"],
    "count": ["3", "many"],
    "notes": ["she said \"there\"; then nothing", "1,5; 2", "-"],
    "recordedBy": ["R. Sedge"],
    "decimalLatitude": ["52.5", "52,25", "91"],
    "decimalLongitude": ["1.75", "-3,5"],
}


def answer(rand, name):
    known = STATES[name]
    value = rand.choice(known[:-1] if rand.random() < 0.97 else known)
    if name in ("breedte", "ribs", "month", "taxon") or rand.random() < 0.6:
        return value
    return rand.choice(["{}?", "not {}", "{} or {}", "{} | {}", "{}, {}", "not {} or {}?", "{} or not {}"]).format(
        value, rand.choice(known[:-1]))


def sighting(rand):
    entries = [(name, answer(rand, name)) for name in rand.sample(sorted(STATES), rand.randint(0, 6))]
    for name in rand.sample(sorted(FIELDS), rand.randint(0, 4)):
        entries.append((name, rand.choice(FIELDS[name][:2] if rand.random() < 0.95 else FIELDS[name])))
    rand.shuffle(entries)
    return entries or [("id", "alone")]


def as_line(entries):
    return "; ".join('%s: "%s"' % (name, value.replace('"', '""')) for name, value in entries)


def number(value):
    """As JSON writes it, where it is one."""
    try:
        return float(value) if value == repr(float(value)) else int(value) if value == str(int(value)) else value
    except ValueError:
        return value


def as_json(entries, rand):
    return json.dumps({name: number(value) if rand.random() < 0.5 else value for name, value in entries},
                      ensure_ascii=rand.random() < 0.5)


def as_table(sightings, rand):
    """The columns in the order of the first row that has them would tie the order of answers to it, so each
    sighting's entries are put in the order of the columns first."""
    columns = sorted({name for entries in sightings for name, _ in entries})
    rand.shuffle(columns)
    out = io.StringIO()
    table = csv.writer(out, delimiter=rand.choice(",;\t"), lineterminator=rand.choice(["\n", "\r\n"]),
                       quoting=rand.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]))
    table.writerow(columns)
    for entries in sightings:
        entries.sort(key=lambda entry: columns.index(entry[0]))
        given = dict(entries)
        table.writerow([given.get(name, "") for name in columns])
    return out.getvalue()


def rank(form, text, jobs, folder):
    name = os.path.join(folder, "sightings")
    with open(name, "w", encoding="utf-8", newline="") as file:
        file.write(text)
    done = subprocess.run([program, "rank", "--key", key, "--in", form, "--out", "jsonl", "--next", "2",
                           "--jobs", str(jobs), name], capture_output=True)
    if done.returncode not in (0, 1):
        sys.exit(f"forms: {form} with {jobs} jobs: status {done.returncode}\n{done.stderr.decode()}")
    return done.stdout


def results(out):
    found = []
    for line in out.decode().splitlines():
        result = json.loads(line)
        del result["line"]
        for part in result.get("answers", []):
            del part["given"]
        for error in result.get("errors", []) + result.get("warnings", []):
            del error["line"], error["column"], error["help"]
        found.append(result)
    return found


rand = random.Random(seed)
sightings = [sighting(rand) for _ in range(SIGHTINGS)]
with tempfile.TemporaryDirectory() as folder:
    texts = {"csv": as_table(sightings, rand)}
    texts["lines"] = "\n".join(map(as_line, sightings)) + "\n"
    texts["jsonl"] = "\n".join(as_json(entries, rand) for entries in sightings) + "\n"
    found = {}
    for form, text in texts.items():
        out = rank(form, text, 1, folder)
        for jobs in (2, 3, 8):
            if rank(form, text, jobs, folder) != out:
                sys.exit(f"forms: {form}: another output with {jobs} jobs")
        found[form] = results(out)
good = sum("errors" not in result for result in found["lines"])
if not SIGHTINGS / 4 < good < SIGHTINGS:
    sys.exit(f"forms: {good} of {SIGHTINGS} sightings are good: nothing is shown by that")
for form in ("csv", "jsonl"):
    if len(found[form]) != SIGHTINGS:
        sys.exit(f"forms: {len(found[form])} results of {SIGHTINGS} sightings in {form}")
    for entries, line, other in zip(sightings, found["lines"], found[form]):
        if line != other:
            sys.exit(f"forms: {form} differs: {entries}\n{json.dumps(line)}\n{json.dumps(other)}")
print(f"forms: {SIGHTINGS} sightings, {good} of them good, alike in lines, csv and jsonl, with 1, 2, 3 and 8 jobs")
