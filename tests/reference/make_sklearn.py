#!/usr/bin/python3
"""Make the reference cases that come from scikit-learn (Debian: python3-sklearn).

A naive Bayes classifier is fitted to an open data set; its tables become a key (one taxon a class), some of its rows
become sightings, and its posteriors become what rushlight must answer, to 1e-6. Some rows are given whole and some
with only a few of their characters, where the posterior is less sure of itself.

    make_sklearn.py           write sklearn-*.yaml and sklearn-*.cases.tsv beside this script
    make_sklearn.py --check   make them in a temporary folder and compare: the text exactly, numbers to 1e-9;
                              exit status 1 on any difference

Sources: iris, Fisher, R. A. (1936) Annals of Eugenics 7:179-188; wine, Forina, M. et al., PARVUS (the UCI wine
recognition data); digits, Alpaydin, E. & Kaynak, C. (1998) Kybernetika (the UCI optical recognition of handwritten
digits, test part); all as shipped with scikit-learn.
"""
import math
import os
import re
import sys
import tempfile

import numpy as np
from sklearn.datasets import load_digits, load_iris, load_wine
from sklearn.naive_bayes import CategoricalNB, GaussianNB

HERE = os.path.dirname(os.path.abspath(__file__))
TOLERANCE = "1e-6"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")

IRIS = "Fisher 1936 iris data, as shipped with scikit-learn"
WINE = "Forina et al. wine data, as shipped with scikit-learn"
DIGITS = "Alpaydin & Kaynak 1998 digits data, as shipped with scikit-learn"

WINE_CHARACTERS = ["alcohol", "malic-acid", "ash", "alkalinity", "magnesium", "phenols", "flavanoids",
                   "nonflavanoids", "proanthocyanins", "colour-intensity", "hue", "dilution", "proline"]
WINE_CLASSES = ["cultivar one", "cultivar two", "cultivar three"]
DIGIT_NAMES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
DIGIT_PIXELS = [(0, 2), (0, 5), (1, 2), (1, 5), (2, 1), (2, 2), (2, 3), (2, 5), (3, 2), (3, 3),
                (3, 4), (3, 5), (4, 2), (4, 4), (5, 1), (5, 2), (5, 5), (6, 2), (6, 5), (7, 5)]


def plain(value):
    """The shortest decimal that reads back as the same double, without an exponent."""
    return np.format_float_positional(value, unique=True, trim="-")


def evenly(rows, wanted):
    """`wanted` row numbers, evenly spaced over `rows`."""
    return [int(i) for i in np.linspace(0, rows - 1, wanted).round()]


def header(key, title, source, note=None):
    return [f"# Made by make_sklearn.py; do not edit. Data: {source}."] + ([f"# {note}"] if note else []) + [
            "rushlight: 1", f"key: {key}", f"title: {title}", "version: 1", "unlisted: 0", "caution_factor: 1",
            "sources:", f'  data: {{cite: "{source}."}}', "characters:"]


def taxon(name, count):
    return [f"  {name}:", "    rank: species", f"    occurrence: {count}", "    source: data", "    traits:"]


def cases(source, method, classes, sightings):
    """`sightings`: (observation line, posteriors) each; a line of the result per class."""
    lines = [f"# Made by make_sklearn.py; do not edit. {method}; data: {source}.",
             "# sighting\tquantity\tsubject\texpected\ttolerance\tsource"]
    for line, posteriors in sightings:
        lines += [f"{line}\tprobability\t{name}\t{p:.12f}\t{TOLERANCE}\tscikit-learn {method}; {source}"
                  for name, p in zip(classes, posteriors)]
    return lines


def some_columns(model, columns):
    """The fitted Gaussian model restricted to some of its columns: naive Bayes with the others not seen."""
    part = GaussianNB()
    part.classes_, part.class_prior_ = model.classes_, model.class_prior_
    part.theta_, part.var_ = model.theta_[:, columns], model.var_[:, columns]
    return part


def gaussian(key, title, source, characters, classes, X, y, whole, parts):
    """`parts`: lists of columns; each is asked of every row of `whole` again, with only those columns seen."""
    model = GaussianNB().fit(X, y)
    sd = np.sqrt(model.var_)
    # A hundred-thousandth of the least sd of the character, or finer: the answer's interval is then a point.
    decimals = [max(0, 5 - math.floor(math.log10(s))) for s in sd.min(axis=0)]
    text = header(key, title, source, "Every quantity, whatever its unit, is carried as a plain number of millimetres.")
    for name, places in zip(characters, decimals):
        text += [f"  {name}:", f"    ask: How much is it ({name.replace('-', ' ')})?", "    measure: length",
                 "    unit: mm", f"    resolution: {plain(10.0 ** -places)}", "    misread: 0"]
    text.append("taxa:")
    for c, name in enumerate(classes):
        text += taxon(name, int(model.class_count_[c]))
        text += [f"      {ch}: {{mean: {plain(model.theta_[c, j])}, sd: {plain(sd[c, j])}}}"
                 for j, ch in enumerate(characters)]
    sightings = []
    for columns in [list(range(len(characters)))] + parts:
        posteriors = some_columns(model, columns).predict_proba(X[whole][:, columns])
        for row, p in zip(whole, posteriors):
            line = "; ".join(f"{characters[j]}: {X[row, j]:.{decimals[j]}f}" for j in columns)
            sightings.append((line, p))
    return text, cases(source, "GaussianNB", classes, sightings)


def categorical(key, title, source, characters, states, classes, X, y, rows, parts):
    levels = len(states)
    model = CategoricalNB(alpha=1.0, min_categories=levels).fit(X, y)
    text = header(key, title, source)
    for name in characters:
        text += [f"  {name}:", f"    ask: Which is it ({name.replace('-', ' ')})?", "    misread: 0", "    states:"]
        text += [f"      {s}: {{label: {s}}}" for s in states]
    text.append("taxa:")
    for c, name in enumerate(classes):
        text += taxon(name, int(model.class_count_[c]))
        for j, ch in enumerate(characters):
            p = np.exp(model.feature_log_prob_[j][c])
            assert abs(p.sum() - 1) < 1e-12
            text.append(f"      {ch}: {{is: {{{', '.join(f'{s}: {plain(v)}' for s, v in zip(states, p))}}}}}")
    sightings = []
    for columns in [list(range(len(characters)))] + parts:
        # Fitted again on these columns alone: the tables of a column do not depend on the others.
        part = CategoricalNB(alpha=1.0, min_categories=levels).fit(X[:, columns], y)
        for row, p in zip(rows, part.predict_proba(X[rows][:, columns])):
            line = "; ".join(f"{characters[j]}: {states[X[row, j]]}" for j in columns)
            sightings.append((line, p))
    return text, cases(source, "CategoricalNB", classes, sightings)


def quarters(X):
    """Each column cut at its quartiles: 0 to 3."""
    edges = np.quantile(X, [0.25, 0.5, 0.75], axis=0)
    return (X[None, :, :] > edges[:, None, :]).sum(axis=0)


def everything():
    """File name -> lines."""
    iris, wine, digits = load_iris(), load_wine(), load_digits()
    made = {}

    def add(key, result):
        made[f"sklearn-{key}.yaml"], made[f"sklearn-{key}.cases.tsv"] = result

    add("iris", gaussian(
        "sklearn-iris", "Three irises by four lengths", IRIS,
        ["sepal-length", "sepal-width", "petal-length", "petal-width"],
        ["Iris setosa", "Iris versicolor", "Iris virginica"],
        np.round(iris.data * 10), iris.target, evenly(150, 50), [[0, 1], [3]]))
    add("wine", gaussian(
        "sklearn-wine", "Three cultivars by thirteen constituents", WINE, WINE_CHARACTERS, WINE_CLASSES,
        wine.data, wine.target, evenly(178, 50), [[1, 2, 8], [4]]))
    add("wine-quarters", categorical(
        "sklearn-wine-quarters", "Three cultivars by thirteen constituents, each cut at its quartiles", WINE,
        WINE_CHARACTERS, ["lowest", "lower", "higher", "highest"], WINE_CLASSES,
        quarters(wine.data), wine.target, evenly(178, 60), [[1, 2, 8], [3, 4]]))
    pixels = np.stack([digits.images[:, r, c] for r, c in DIGIT_PIXELS], axis=1)
    add("digits", categorical(
        "sklearn-digits", "Ten handwritten digits by twenty pixels in four greys", DIGITS,
        [f"r{r}c{c}" for r, c in DIGIT_PIXELS], ["white", "pale", "dark", "black"], DIGIT_NAMES,
        np.minimum(pixels // 4, 3).astype(int), digits.target, evenly(1797, 50), [[2, 8, 13]]))
    return made


def difference(name, old, new):
    """Where two texts differ, in words, or None."""
    if len(old) != len(new):
        return f"{name}: {len(old)} lines committed, {len(new)} made"
    for number, (a, b) in enumerate(zip(old, new), 1):
        if NUMBER.sub("#", a) != NUMBER.sub("#", b):
            return f"{name}:{number}: the text differs"
        for x, y in zip(NUMBER.findall(a), NUMBER.findall(b)):
            if abs(float(x) - float(y)) > 1e-9 * max(1.0, abs(float(x))):
                return f"{name}:{number}: {x} committed, {y} made"
    return None


def write(folder):
    for name, lines in everything().items():
        with open(os.path.join(folder, name), "w", encoding="utf-8", newline="\n") as out:
            out.write("\n".join(lines) + "\n")
        yield name


def read(folder, name):
    try:
        with open(os.path.join(folder, name), encoding="utf-8") as text:
            return text.read().split("\n")
    except FileNotFoundError:
        return []


def main(arguments):
    if arguments == []:
        for name in write(HERE):
            print(name)
        return 0
    if arguments != ["--check"]:
        print("usage: make_sklearn.py [--check]", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        found = [difference(name, read(HERE, name), read(folder, name)) for name in write(folder)]
    found = [f for f in found if f]
    for f in found:
        print(f, file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
