#!/usr/bin/env python3
"""Keys with thirty faults each, planted by hand as people make them: each is told in one run, at its own line and
column, and nothing is told beside them.

usage: thirty.py PROGRAM [NAME...]

A folder is a key and planted.txt, a line for each fault: where it stands and the slug that fits it.
"""
import collections
import json
import os
import subprocess
import sys

here = os.path.dirname(os.path.abspath(__file__))
program, failures = os.path.abspath(sys.argv[1]), 0
# Words of a program, not of somebody who knows the animals.
JARGON = ["null", "parse", "token", "scalar", "mapping", "sequence", "node", "block", "integer", "string", "identifier"]


def fail(name, what):
    global failures
    failures += 1
    print(f"FAILED thirty/{name}: {what}")


names = sys.argv[2:] or sorted(n for n in os.listdir(here) if os.path.isdir(os.path.join(here, n)) and n[0] != "_")
for name in names:
    folder = os.path.join(here, name)
    with open(os.path.join(folder, "planted.txt"), encoding="utf-8") as file:
        planted = collections.Counter(file.read().splitlines())
    done = subprocess.run([program, "check", "--out", "json", "key.yaml"], cwd=folder, capture_output=True, check=False)
    findings = json.loads(done.stdout)["keys"][0]["findings"]
    found = collections.Counter(f"{f['file']}:{f['line']}:{f['column']} {f['slug']}" for f in findings)
    for fault in (planted - found).elements():
        fail(name, f"not told: {fault}")
    for fault in (found - planted).elements():
        fail(name, f"told beside them: {fault}")
    if planted.total() < 30 or len(set(line.split()[1] for line in planted)) < 15:
        fail(name, "that is not thirty faults of many kinds")
    for finding in findings:
        for word in JARGON:
            if word in finding["message"].lower().split():
                fail(name, f"'{word}' in: {finding['message']}")
print(f"thirty: {len(names)} keys, {failures} failures")
sys.exit(failures > 0)
