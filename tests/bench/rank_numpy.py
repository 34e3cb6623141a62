#!/usr/bin/python3
"""The scoring of `rank --out jsonl --top 3 --next 0` in numpy, and the same JSON, on one thread: what the pipe is
measured against.

usage: rank_numpy.py ANSWER_TABLES KEY LINES [--check JSONL] [--write json|templates]

ANSWER_TABLES is the program that says what each answer is worth; it is asked once for each distinct answer of the
lines, which is not timed. Timed are reading the lines, scoring and writing the JSON, in batches: the one-hot matrix
of the answers times their log-likelihoods, as a sparse product (scipy) or a dense one (BLAS), whichever is faster in
a trial batch. `json` writes by json.dumps; `templates` by hand-made strings, as fast as this language allows. Left
out of the JSON are `fit`, `second_looks` and what a poor fit does to the verdict, so this program does less than
rank does. --check compares with rank's own output to 2e-6.

Debian: python3-numpy python3-scipy
"""
import json
import os
import subprocess
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"
import numpy as np
import scipy.sparse

BATCH = 4096
SAFE = 0.95
TOP = 3
MONTHS = ("January February March April May June July August September October November December").split()


# ---- the lines as numbers ----------------------------------------------------------------------------------------

def distinct_answers(lines):
    """Every "character: answer" of the lines, and the months of their dates; the line parser's dictionary."""
    found = {}
    for line in lines:
        for entry in line.split("; "):
            if not entry.startswith(("id: ", "date: ")):
                found.setdefault(entry, len(found))
    months = {month: found.setdefault("month: " + name, len(found)) for month, name in enumerate(MONTHS, 1)}
    return found, months


class Parser:
    def __init__(self, lines):
        self.index, self.months = distinct_answers(lines)

    def parse(self, lines):
        """Ids, dates, and of each answer its line and its number."""
        ids, dates, answers = [], [], []
        index, months = self.index, self.months
        for line in lines:
            mine, date = [], None
            for entry in line.split("; "):
                at = index.get(entry)
                if at is not None:
                    mine.append(at)
                elif entry.startswith("id: "):
                    ids.append(entry[4:])
                else:
                    date = entry[6:]
            if date:
                mine.append(months[int(date[5:7])])
            dates.append(date)
            answers.append(mine)
        return ids, dates, answers


# ---- the key as matrices -----------------------------------------------------------------------------------------

class Model:
    def __init__(self, tables, key, entries):
        said = subprocess.run([tables, key], input="\n".join(entries) + "\n", capture_output=True, text=True, check=True)
        made = json.loads(said.stdout)
        self.key, self.taxa, self.forms = {"key": made["key"], "version": made["version"]}, made["taxa"], made["forms"]
        self.answers = made["answers"]
        taxa, forms, answers = len(self.taxa), len(self.forms), self.answers
        setting = np.array([answer["setting"] for answer in answers])
        of_forms = np.array([answer["forms"] for answer in answers])
        unlisted = np.array([answer["relatives"] + [answer["stranger"]] for answer in answers])
        with np.errstate(divide="ignore"):
            logs = np.log(of_forms)
            # Of the marks over forms and unlisted, then of the settings over the forms: one product for both.
            marks = np.where(setting[:, None], 0, np.hstack([logs, np.log(unlisted)]))
            self.log_prior, self.log_flat = np.log(made["prior"]), np.log(made["flat"])
            self.log_unlisted = np.log(np.array(made["relatives"] + [made["stranger"]]))
        self.worth = np.ascontiguousarray(np.hstack([marks, np.where(setting[:, None], logs, 0)]))
        self.log2 = logs / np.log(2)
        self.listed = np.log(sum(made["prior"]))
        self.badly = np.zeros((len(answers), forms), bool)
        for at, answer in enumerate(answers):
            self.badly[at, answer["badly"]] = True
        # Which hypotheses each taxon holds: its forms and the relatives of itself and of what is within it.
        self.holds = np.zeros((forms + taxa + 1, taxa))
        for t in range(taxa):
            self.holds[self.taxa[t]["first_form"]:self.taxa[t]["first_form"] + self.taxa[t]["form_count"], t] = 1
            up = t
            while up >= 0:
                self.holds[forms + t, up] = 1
                up = self.taxa[up]["parent"]
        self.leaves = np.array(made["leaves"])
        self.order = np.array([taxon["order"] for taxon in self.taxa])
        most = max(self.taxa[t]["form_count"] for t in self.leaves)
        self.leaf_forms = np.full((len(self.leaves), most), -1)
        for at, t in enumerate(self.leaves):
            own = range(self.taxa[t]["first_form"], self.taxa[t]["first_form"] + self.taxa[t]["form_count"])
            self.leaf_forms[at, :len(own)] = own
        self.male = np.array([{"male": 1, "female": 0, "any": 0.5}[form["sex"]] for form in self.forms])

    def product(self, answers, dense):
        counts = [len(mine) for mine in answers]
        columns = np.fromiter((at for mine in answers for at in mine), np.int32, sum(counts))
        ends = np.concatenate([[0], np.cumsum(counts)])
        if dense:
            hot = np.zeros((len(answers), len(self.answers)))
            hot[np.repeat(np.arange(len(answers)), counts), columns] = 1
            return hot @ self.worth, columns, counts
        hot = scipy.sparse.csr_matrix((np.ones(len(columns)), columns, ends), (len(answers), len(self.answers)))
        return hot @ self.worth, columns, counts

    def posterior(self, worth, log_prior, settings):
        forms = len(self.forms)
        before = log_prior + settings
        before -= before.max(axis=1, keepdims=True)
        before += self.listed - np.log(np.exp(before).sum(axis=1, keepdims=True))
        total = worth.copy()
        total[:, :forms] += before
        total[:, forms:] += self.log_unlisted
        total -= total.max(axis=1, keepdims=True)
        np.exp(total, out=total)
        total /= total.sum(axis=1, keepdims=True)
        return total

    def score(self, answers, dense):
        forms, marks = len(self.forms), len(self.forms) + len(self.taxa) + 1
        worth, columns, counts = self.product(answers, dense)
        after = self.posterior(worth[:, :marks], self.log_prior, worth[:, marks:])
        flat = self.posterior(worth[:, :marks], self.log_flat, np.zeros((1, forms))) @ self.holds
        taxa = after @ self.holds
        here = np.arange(len(answers))
        leaf = taxa[:, self.leaves]
        top = np.argsort(-leaf.astype(np.float32), axis=1, kind="stable")[:, :TOP]
        of_top = np.where(self.leaf_forms[top] < 0, -1, after[here[:, None, None], self.leaf_forms[top]])
        lead = np.take_along_axis(self.leaf_forms[top], of_top.astype(np.float32).argmax(axis=2)[:, :, None], axis=2)[:, :, 0]
        lowest = np.where(taxa >= SAFE, self.order, -1).argmax(axis=1)
        safe = taxa[here, lowest] >= SAFE
        verdict = np.where(safe, lowest, self.leaves[top[:, 0]])
        of = np.repeat(here, counts)
        male = after[:, :forms] @ self.male / after[:, :forms].sum(axis=1)
        return {
            "safe": safe, "taxon": verdict, "probability": taxa[here, verdict], "marks_alone": flat[here, verdict],
            "male": male, "top": self.leaves[top], "chances": np.take_along_axis(leaf, top, axis=1), "forms": after,
            "against": self.badly[columns[:, None], lead[of]],
            "bits": self.log2[columns, lead[of, 0]] - self.log2[columns, lead[of, 1]],
            "unlisted": after[:, forms:].sum(axis=1),
            "in_play": (leaf * 50 >= leaf.max(axis=1, keepdims=True)).sum(axis=1),
        }


# ---- JSON --------------------------------------------------------------------------------------------------------

def safe_form(model, taxon, forms):
    """The name that is safe, given the taxon."""
    taxon = model.taxa[taxon]
    if not taxon["leaf"]:
        return None
    own = range(taxon["first_form"], taxon["first_form"] + taxon["form_count"])
    whole, sums = sum(forms[f] for f in own), {}
    for f in own:
        sums[model.forms[f]["form"]] = sums.get(model.forms[f]["form"], 0) + forms[f]
    for name, part in sums.items():
        if name and part >= SAFE * whole:
            return name
    return None


def sex_of(male):
    return "male" if male >= SAFE else "female" if male <= 1 - SAFE else None


def by_json(model, number, ids, dates, answers, result):
    result = {name: value.tolist() for name, value in result.items()}
    out, at, taxa = [], 0, model.taxa
    for i, mine in enumerate(answers):
        record = {"date": dates[i]} if dates[i] else {}
        forms = result["forms"][i]
        bits, against = result["bits"][at:at + len(mine)], result["against"][at:at + len(mine)]
        at += len(mine)
        safe, named = result["safe"][i], taxa[result["taxon"][i]]
        candidates = []
        for place, t in enumerate(result["top"][i]):
            first, count = taxa[t]["first_form"], taxa[t]["form_count"]
            candidates.append({
                "taxon": taxa[t]["name"], "vernacular": taxa[t]["vernacular"],
                "probability": round(result["chances"][i][place], 6),
                "forms": [{**model.forms[f], "probability": round(forms[f], 6)} for f in range(first, first + count)],
                "against": [model.answers[a]["character"] for a, bad in zip(mine, against) if bad[place]]})
        out.append(json.dumps({
            "schema": 1, "key": model.key, "file": "stdin", "line": number + i, "id": ids[i], "record": record,
            "answers": [{"character": model.answers[a]["character"], "given": model.answers[a]["given"],
                         "read_as": model.answers[a]["read_as"], "bits": round(b, 6)} for a, b in zip(mine, bits)],
            "verdict": {"safe": safe, "rank": named["rank"] if safe else None, "taxon": named["name"] if safe else None,
                        "vernacular": named["vernacular"] if safe else None,
                        "probability": round(result["probability"][i], 6),
                        "marks_alone": round(result["marks_alone"][i], 6),
                        "sex": sex_of(result["male"][i]) if safe else None,
                        "form": safe_form(model, result["taxon"][i], forms) if safe else None},
            "candidates": candidates, "unlisted": round(result["unlisted"][i], 6),
            "in_play": result["in_play"][i], "look_next": []}, separators=(",", ":"), ensure_ascii=False))
    return "\n".join(out) + "\n"


class Templates:
    """The fragments of the JSON that do not change, ready made."""

    def __init__(self, model):
        def text(value):
            return json.dumps(value, ensure_ascii=False).replace("%", "%%")
        self.model = model
        self.head = '{"schema":1,"key":%s,"file":"stdin","line":' % json.dumps(model.key, separators=(",", ":"))
        self.answers = ['{"character":%s,"given":%s,"read_as":%s,"bits":%%.6f}' % tuple(
            text(answer[part]) for part in ("character", "given", "read_as")) for answer in model.answers]
        self.characters = [text(answer["character"]) for answer in model.answers]
        self.verdicts = ['"rank":%s,"taxon":%s,"vernacular":%s' % tuple(text(taxon[part]) for part in (
            "rank", "name", "vernacular")) for taxon in model.taxa]
        self.candidates = ['{"taxon":%s,"vernacular":%s,"probability":%%.6f,"forms":[%s],"against":[' % (
            text(taxon["name"]), text(taxon["vernacular"]), ",".join(
                '{"sex":%s,"form":%s,"probability":%%.6f}' % (text(model.forms[f]["sex"]), text(model.forms[f]["form"]))
                for f in range(taxon["first_form"], taxon["first_form"] + taxon["form_count"])) if taxon["leaf"] else "")
            for taxon in model.taxa]

    def write(self, model, number, ids, dates, answers, result):
        result = {name: value.tolist() for name, value in result.items()}
        out, at, taxa = [], 0, model.taxa
        nothing = '"rank":null,"taxon":null,"vernacular":null'
        for i, mine in enumerate(answers):
            forms = result["forms"][i]
            end = at + len(mine)
            numbers = result["bits"][at:end]
            against = result["against"][at:end]
            at = end
            safe, named = result["safe"][i], result["taxon"][i]
            sex = sex_of(result["male"][i]) if safe else None
            form = safe_form(model, named, forms) if safe else None
            numbers.append(result["probability"][i])
            numbers.append(result["marks_alone"][i])
            candidates = []
            for place, t in enumerate(result["top"][i]):
                first = taxa[t]["first_form"]
                numbers.append(result["chances"][i][place])
                numbers += forms[first:first + taxa[t]["form_count"]]
                candidates.append(self.candidates[t] + ",".join(
                    [self.characters[a] for a, bad in zip(mine, against) if bad[place]]) + "]}")
            numbers.append(result["unlisted"][i])
            out.append((
                '%s%d,"id":"%s","record":{%s},"answers":[%s],"verdict":{"safe":%s,%s,"probability":%%.6f,'
                '"marks_alone":%%.6f,"sex":%s,"form":%s},"candidates":[%s],"unlisted":%%.6f,"in_play":%d,"look_next":[]}\n' % (
                    self.head, number + i, ids[i], '"date":"%s"' % dates[i] if dates[i] else "",
                    ",".join([self.answers[a] for a in mine]), "true" if safe else "false",
                    self.verdicts[named] if safe else nothing, '"%s"' % sex if sex else "null",
                    '"%s"' % form if form else "null", ",".join(candidates), result["in_play"][i])) % tuple(numbers))
        return "".join(out)


# ---- the run -----------------------------------------------------------------------------------------------------

def faster_dense(model, parser, lines):
    answers = parser.parse(lines)[2]
    took = []
    for dense in (False, True):
        start = time.perf_counter()
        model.product(answers, dense)
        took.append(time.perf_counter() - start)
    return took[1] < took[0]


def same(mine, other, path=""):
    if isinstance(mine, dict):
        return all(name in other and same(value, other[name], path + "/" + name) for name, value in mine.items())
    if isinstance(mine, list):
        return len(mine) == len(other) and all(same(a, b, path) for a, b in zip(mine, other))
    if isinstance(mine, float) or isinstance(other, float):
        return abs(mine - other) < 2e-6 * max(1, abs(other))
    return mine == other


def check(name, out):
    lines, poor, close = 0, 0, 0
    with open(name, encoding="utf-8") as file:
        for line, mine in zip(file, out.splitlines(), strict=True):
            other, mine = json.loads(line), json.loads(mine)
            lines += 1
            other["file"] = "stdin"
            if other["verdict"]["fit"]["poor"]:
                poor += 1
                mine["verdict"] = other["verdict"]
            if 0 < abs(mine["in_play"] - other["in_play"]) < 4:  # some stand at a fiftieth, but for rounding
                mine["in_play"] = other["in_play"]
                close += 1
            if not same(mine, other):
                # Two that are a tie but for rounding may change places; nothing else may.
                chances, mine_chances = ([c["probability"] for c in from_["candidates"]] for from_ in (other, mine))
                if not same(mine_chances, chances):
                    sys.exit(f"rank_numpy: line {lines} differs:\n{json.dumps(mine)}\n{json.dumps(other)}")
                close += 1
    if close > lines / 1000:
        sys.exit(f"rank_numpy: {close} of {lines} lines differ")
    print(f"numpy gives the same numbers on {lines} lines ({poor} verdicts of a poor fit left out, {close} on the edge)")


def main():
    tables, key, name = sys.argv[1:4]
    options = dict(zip(sys.argv[4::2], sys.argv[5::2]))
    with open(name, encoding="utf-8") as file:
        lines = file.read().split("\n")[:-1]
    parser = Parser(lines)
    model = Model(tables, key, list(parser.index))
    write = Templates(model).write if options.get("--write") == "templates" else by_json
    dense = faster_dense(model, parser, lines[:BATCH])
    kept = [] if "--check" in options else None
    start = time.process_time()
    with open(os.devnull, "w", encoding="utf-8") as out, open(name, encoding="utf-8") as file:
        lines = file.read().split("\n")[:-1]
        for at in range(0, len(lines), BATCH):
            ids, dates, answers = parser.parse(lines[at:at + BATCH])
            text = write(model, at + 1, ids, dates, answers, model.score(answers, dense))
            out.write(text)
            if kept is not None:
                kept.append(text)
    took = time.process_time() - start
    print(f"numpy ({'dense' if dense else 'sparse'}, {options.get('--write', 'json')}): "
          f"{len(lines)} lines in {took:.2f} s of the processor, {took / len(lines) * 1e6:.2f} microseconds a line")
    if kept is not None:
        check(options["--check"], "".join(kept))


main()
