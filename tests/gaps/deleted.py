#!/usr/bin/env python3
"""A trait is taken out of a key, one at a time, and `check` must point at what it told apart.

usage: deleted.py PROGRAM KEY-FOLDER STEP

Every STEP-th trait of a taxon or a form is deleted, a line each. At least half of the deletions must give a new finding
that names the taxon or the character; the others leave what the group or the sex shows, which may well be meant. A
gap that is told must be that of the deleted trait.
"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

program, source, step = os.path.abspath(sys.argv[1]), sys.argv[2], int(sys.argv[3])
POINTERS = {"gap", "hardly-apart", "no-difference", "sexes-alike", "forms-alike", "not-itself", "sighting-fails",
            "idle-character", "unused-state", "unused-source"}
SETTINGS = {"month", "habitat", "region", "flight-season"}
failures = tried = pointed = 0


def findings(folder):
    done = subprocess.run([program, "check", "--out", "json", folder], capture_output=True, text=True, check=False)
    return {(f["slug"], f["message"]) for f in json.loads(done.stdout)["keys"][0]["findings"]}


def traits(text):
    """The lines that are one trait each: their number, taxon, character, and what is left of the form."""
    taxon, inside, section = None, None, None
    for number, line in enumerate(text):
        if re.match(r"^\S", line):
            section = line.split(":")[0]
        named, opened = re.match(r"^  (\S.*?):", line), re.match(r"^( +)traits:\s*$", line)
        if named:
            taxon, inside = named.group(1), None
        elif opened:
            inside = len(opened.group(1))
        scored = re.match(r"^( +)([a-z0-9-]+): \S.*$", line)
        if scored and len(scored.group(1)) <= (inside or 99):
            inside = None
        if section == "taxa" and inside and scored and scored.group(2) not in SETTINGS:
            yield number, taxon, scored.group(2)


with tempfile.TemporaryDirectory() as work:
    folder = os.path.join(work, "key")
    shutil.copytree(source, folder)
    before = findings(folder)
    if any(slug == "gap" for slug, _ in before):
        failures += 1
        print("FAILED: the key has gaps as it is")
    for name in sorted(os.listdir(source)):
        if not name.endswith(".yaml"):
            continue
        with open(os.path.join(source, name), encoding="utf-8") as file:
            text = file.read().split("\n")
        for number, taxon, character in traits(text):
            tried += 1
            if tried % step:
                continue
            with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
                file.write("\n".join(text[:number] + text[number + 1:]))
            new = {(slug, said) for slug, said in findings(folder) - before if slug in POINTERS}
            pointed += any(f"'{taxon}'" in said or f"'{character}'" in said for _, said in new)
            wrong = [said for slug, said in new if slug == "gap" and f"'{character}'" not in said]
            if wrong:
                failures += 1
                print(f"FAILED {name}:{number + 1} {taxon}, {character}: {wrong}")
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            file.write("\n".join(text))
print(f"deleted: {tried // step} traits, {pointed} pointed at, {failures} failures")
if pointed * 2 < tried // step:
    sys.exit("FAILED: less than a half is pointed at")
sys.exit(failures > 0)
