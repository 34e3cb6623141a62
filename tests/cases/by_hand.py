#!/usr/bin/env python3
"""The case rank-by-hand, reckoned out a second time: nothing here is read from the program.

    python3 by_hand.py [FILE]     compares with FILE, or with rank-by-hand/stdout

The key is keys/four.yaml, written out again below as plain numbers."""
import json, math, os, sys

PHI = lambda x: 0.5 * math.erfc(-x / math.sqrt(2))
OUTLINE, RIBS = ["round", "oval", "fan", "tall"], ["few", "many"]
E = {"outline": 0.09, "ribs": 0.15, "width": 0.06, "sex": 0.15}  # 1.5 x misread
CONFUSED = {"round": ["oval"], "oval": ["round"]}

# name: (genus, occurrence, share, sex, outline, ribs, (mean, sd) of the width, months, habitat)
FORMS = {
    "Alpha una": ("Alpha", 30, 1, None, {"round": 1}, None, (15, 2.5), range(4, 11), ["sand"]),
    "Alpha dua": ("Alpha", 8, 1, None, {"round": .25, "oval": .75}, {"few": 1}, (20, 2), range(6, 9), None),
    "Beta una": ("Beta", 2, 1, None, {"fan": .5, "tall": .5}, "inapplicable", (30, 3), None, ["mud"]),
    "Gamma una m": ("Gamma", .5, .5, "male", {"fan": 1}, {"many": 1}, (16, 1), [11, 12, 1, 2], None),
    "Gamma una f": ("Gamma", .5, .5, "female", {"fan": 1}, {"few": 1}, (16, 1), [11, 12, 1, 2], None),
}
TAXA = {"Alpha una": ["Alpha una"], "Alpha dua": ["Alpha dua"], "Beta una": ["Beta una"],
        "Gamma una": ["Gamma una m", "Gamma una f"]}
SPAN = (10, 36)  # from the least low to the greatest high; mean and two sd for Beta
# a relative for each genus and each family, and the stranger: share of their mass, weight of the mean
UNLISTED = [("Alpha", ["Alpha una", "Alpha dua"], 0.4 / 3, 0.7), ("Beta", ["Beta una"], 0.4 / 3, 0.7),
            ("Gamma", ["Gamma una"], 0.4 / 3, 0.7),
            ("Alphidae", ["Alpha una", "Alpha dua", "Beta una"], 0.4, 0.7),
            ("stranger", list(TAXA), 0.2, 0.5)]
BASE = {f: FORMS[f][1] * FORMS[f][2] for f in FORMS}


def m(states, e, s, r):
    if s == r:
        return 1 - e
    near = CONFUSED.get(s, []) if states is OUTLINE else []
    others = [x for x in states if x != s and x not in near]
    if r in near:
        return (0.8 if others else 1.0) * e / len(near)
    return (0.2 if near else 1.0) * e / len(others)


def states_answer(character, states, asked, column, denied=False, unsure=False):
    a = [s for s in states if s not in asked] if denied else asked
    e, breadth = E[character], len(a) / len(states)
    p = {}
    for f, row in FORMS.items():
        if row[column] == "inapplicable":
            p[f] = breadth if denied else e * breadth
        elif row[column] is not None:
            p[f] = sum(w * sum(m(states, e, s, r) for r in a) for s, w in row[column].items())
    for f, row in FORMS.items():
        if f not in p:  # unscored: 0.8 of the nearest group with a scored form, 0.2 of the whole key
            scored = [g for g in FORMS if FORMS[g][column] is not None]
            near = [g for g in scored if FORMS[g][0] == row[0]]
            mean = lambda fs: sum(BASE[g] * p[g] for g in fs) / sum(BASE[g] for g in fs)
            p[f] = 0.8 * mean(near) + 0.2 * mean(scored)
    if unsure:
        p = {f: 0.5 * v + 0.5 * breadth for f, v in p.items()}
    return p, breadth


def width_answer(a, b, error=0.1):
    e, p = E["width"], {}
    breadth = max((min(b, SPAN[1]) - max(a, SPAN[0])) / (SPAN[1] - SPAN[0]), 1e-6)
    for f, row in FORMS.items():
        mean, sd = row[6]
        s = math.hypot(sd, error * mean)
        p[f] = (1 - e) * (PHI((b - mean) / s) - PHI((a - mean) / s)) + e * breadth
    return p, breadth


def sex_answer(sex):
    e = E["sex"]
    return {f: 0.5 if not r[3] else 1 - e if r[3] == sex else e for f, r in FORMS.items()}, 0.5


def taxon_answer(taxa):
    inside = [f for t in taxa for f in TAXA[t]]
    return {f: 1.0 if f in inside else 0.01 for f in FORMS}, 0.01


def month(number):
    def suits(row):
        season = list(row[7]) if row[7] else None
        if season is None:
            return 1
        if number not in season:
            beside = {(number % 12) + 1, (number - 2) % 12 + 1}
            return 0.2 if beside & set(season) else 0.01
        return 0.5 if len(season) >= 3 and number in (season[0], season[-1]) else 1
    return {f: suits(r) for f, r in FORMS.items()}


def habitat(name):
    return {f: 1 if not r[8] or name in r[8] else 0.03 for f, r in FORMS.items()}


def rank(answers, settings=()):
    prior = {f: BASE[f] * math.prod(s[f] for s in settings) for f in FORMS}
    total = sum(prior.values())
    mass = {f: 0.98 * prior[f] / total * math.prod(p[f] for p, _ in answers) for f in FORMS}
    unlisted = 0
    for _, taxa, share, own in UNLISTED:
        like = 1.0
        for p, uniform in answers:
            if uniform == 0.01:  # what the observer is sure of: not these
                like *= 0.01
                continue
            mean = sum(sum(p[f] * FORMS[f][2] for f in TAXA[t]) for t in taxa) / len(taxa)
            like *= own * mean + (1 - own) * uniform
        unlisted += 0.02 * share * like
    whole = sum(mass.values()) + unlisted
    return {t: sum(mass[f] for f in fs) / whole for t, fs in TAXA.items()}, unlisted / whole


CASES = [
    rank([states_answer("outline", OUTLINE, ["oval"], 4)]),
    rank([states_answer("outline", OUTLINE, ["round"], 4, denied=True),
          states_answer("ribs", RIBS, ["few"], 5)]),
    rank([width_answer(17.5, 18.5, 0.2), states_answer("ribs", RIBS, ["many"], 5, unsure=True)]),
    rank([width_answer(-math.inf, 15)], [month(10), habitat("sand")]),
    rank([states_answer("outline", OUTLINE, ["round", "oval"], 4), width_answer(15, 25),
          sex_answer("female"), taxon_answer(["Alpha una", "Alpha dua"])]),
    rank([width_answer(17, 18, 0.01)], [month(4)]),
]

here = os.path.dirname(os.path.abspath(__file__))
name = sys.argv[1] if len(sys.argv) > 1 else os.path.join(here, "rank-by-hand", "stdout")
lines = [json.loads(line) for line in open(name, encoding="utf-8")]
lines = [line for line in lines if line["key"]["key"] == "four"]
worst = 0
for (taxa, unlisted), line in zip(CASES, lines, strict=True):
    said = {c["taxon"]: c["probability"] for c in line["candidates"]}
    off = max([abs(said[t] - taxa[t]) for t in taxa] + [abs(line["unlisted"] - unlisted)])
    worst = max(worst, off)
    if off > 1e-6:
        print(f"line {line['line']}: the program says {said}, {line['unlisted']}; by hand {taxa}, {unlisted}")
print(f"by hand: {len(lines)} sightings, the greatest difference {worst:.1e}")
sys.exit(worst > 1e-6)
