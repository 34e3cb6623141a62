#!/usr/bin/env python3
"""Writes a synthetic key, and sightings for it, that are the same on every machine.

usage: make_key.py FOLDER [--taxa N] [--forms N] [--characters N] [--unscored PART] [--lines N] [--seed N]

FOLDER/key.yaml and FOLDER/lines.txt; and for programs that score in another way, the key as numbers: FOLDER/key.json,
and FOLDER/traits.u16, of each form and character which of the character's different traits it has, from 1; 0 is
unscored. Nothing in it stands for an animal. Each taxon has as many forms, genera have
five species and families ten genera. One character in eight is a number; forms of one taxon differ in one
character in ten. A sighting is of one form drawn evenly, with 8 to 15 answers, one in twenty of them misread.
"""
import argparse
import array
import json
import os
import random

parser = argparse.ArgumentParser()
parser.add_argument("folder")
parser.add_argument("--taxa", type=int, default=10000)
parser.add_argument("--forms", type=int, default=20000)
parser.add_argument("--characters", type=int, default=300)
parser.add_argument("--unscored", type=float, default=0.3)
parser.add_argument("--lines", type=int, default=20000)
parser.add_argument("--seed", type=int, default=1)
with_ = parser.parse_args()
pick = random.Random(with_.seed)
os.makedirs(with_.folder, exist_ok=True)

states = [0 if c % 8 == 7 else pick.randint(2, 8) for c in range(with_.characters)]


def trait(character):
    """As written in the key, and the states or the range that it stands for."""
    count = states[character]
    if not count:
        low = pick.randint(10, 60)
        return f"{low}-{low + pick.randint(4, 20)}", low
    first = pick.randrange(count)
    if pick.random() < 0.9:
        return f"s{first}", [first]
    second = (first + 1) % count
    return f"[s{first}, s{second}]", [first, second]


def traits(part):
    return {c: trait(c) for c in range(with_.characters) if pick.random() < part}


def flow(chosen):
    return "{" + ", ".join(f"c{c}: {text}" for c, (text, _) in chosen.items()) + "}"


def answer(character, value):
    count = states[character]
    if not count:
        return f"{value + pick.randint(0, 6)} mm"
    if pick.random() < 0.05:
        return f"s{pick.randrange(count)}"
    return f"s{pick.choice(value)}"


shown = []
found = [{} for _ in states]
traits_of_forms = array.array("H")
with open(os.path.join(with_.folder, "key.yaml"), "w", encoding="utf-8") as key:
    key.write("rushlight: 1\nkey: synthetic\ntitle: A synthetic key\ncharacters:\n")
    for c, count in enumerate(states):
        if count:
            key.write(f"  c{c}: {{misread: 0.05, states: [{', '.join(f's{s}' for s in range(count))}]}}\n")
        else:
            key.write(f"  c{c}: {{measure: length, reading_error: 10%}}\n")
    key.write("taxa:\n")
    per_taxon = max(1, with_.forms // with_.taxa)
    for t in range(with_.taxa):
        family, genus = t // 50, t // 5
        if t % 50 == 0:
            key.write(f"  Familia{family}idae: {{rank: family}}\n")
        if t % 5 == 0:
            key.write(f"  Genus{genus}: {{rank: genus, within: Familia{family}idae}}\n")
        own = traits(1 - with_.unscored)
        key.write(f"  Genus{genus} species{t}:\n    rank: species\n    within: Genus{genus}\n    traits: {flow(own)}\n")
        if per_taxon > 1:
            key.write("    forms:\n")
        for f in range(per_taxon):
            changed = {c: trait(c) for c in own if pick.random() < 0.1} if per_taxon > 1 else {}
            if per_taxon > 1:
                sex = ("male", "female", "any")[min(f, 2)]
                key.write(f"      - {{sex: {sex}, form: f{f}, traits: {flow(changed)}}}\n")
            seen = own | changed
            shown.append({c: value for c, (_, value) in seen.items()})
            traits_of_forms.extend(found[c].setdefault(seen[c][0], len(found[c]) + 1) if c in seen else 0
                                   for c in range(with_.characters))
with open(os.path.join(with_.folder, "traits.u16"), "wb") as file:
    traits_of_forms.tofile(file)
with open(os.path.join(with_.folder, "key.json"), "w", encoding="utf-8") as file:
    json.dump({"taxa": with_.taxa, "forms_each": per_taxon, "taxa_of_genus": 5, "taxa_of_family": 50, "states": states,
               "traits": [list(of) for of in found]}, file)
with open(os.path.join(with_.folder, "lines.txt"), "w", encoding="utf-8") as lines:
    for _ in range(with_.lines):
        form = pick.choice(shown)
        chosen = pick.sample(sorted(form), min(len(form), pick.randint(8, 15)))
        lines.write("; ".join(f"c{c}: {answer(c, form[c])}" for c in chosen) + "\n")
