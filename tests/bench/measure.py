"""Measures and prints the table of run.sh: measure.py BUILD WORK, where WORK has large/ (make_key.py) and lines (make_lines).

Each ratio is of medians of runs that take turns, so that what else the machine does falls on both alike: time on the
processor of whole processes or of the loop that is named; on the clock where it says so.
"""
import os
import re
import subprocess
import sys
import time

import numpy as np

from large_numpy import Looking, Model, Ranking

BUILD, WORK = sys.argv[1:]
HERE = os.path.dirname(os.path.abspath(__file__))
ADULTS = os.path.join(HERE, "../../keys/odonata-adults")
LARGE = f"{WORK}/large/key.yaml"
RUSHLIGHT = f"{BUILD}/rushlight"
PIPE = (RUSHLIGHT, "rank", "--out", "jsonl", "--top", "3", "--next", "0")
rows = []


def row(what, ours, reference, other="", ratio=""):
    rows.append((what, ours, reference, other, ratio))


def times(number):
    return f"{number:.1f} x" if number < 100 else f"{number:.0f} x"


def run(*command, stdin=os.devnull, stdout=os.devnull):
    """Processor time and time on the clock of a whole process."""
    start = time.perf_counter()
    actions = [(os.POSIX_SPAWN_OPEN, 0, stdin, os.O_RDONLY, 0),
               (os.POSIX_SPAWN_OPEN, 1, stdout, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)]
    child = os.posix_spawn(command[0], command, os.environ, file_actions=actions)
    _, status, usage = os.wait4(child, 0)
    if status:
        sys.exit(f"{' '.join(command)}: status {status}")
    return usage.ru_utime + usage.ru_stime, time.perf_counter() - start


def resident(*command):
    """The largest resident size of a whole process. What starts it must be small, since a process begins with the size of
    its parent; this one is not."""
    script = ("import os, resource, subprocess, sys; subprocess.run(sys.argv[1:], stdin=subprocess.DEVNULL, "
              "stdout=subprocess.DEVNULL, check=True); print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)")
    said = subprocess.run([sys.executable, "-I", "-S", "-c", script, *command], capture_output=True, check=True)
    return int(said.stdout) * 1024


def take_turns(repeats, *works):
    """The medians of what each of the works returns, of repeats in turn."""
    results = [[work() for work in works] for _ in range(repeats)]
    return [np.median([result[i] for result in results], axis=0) for i in range(len(works))]


def loop_of(function, inputs):
    """Microseconds of the processor a call."""
    def work():
        start = time.process_time()
        for each in inputs:
            function(each)
        return (time.process_time() - start) / len(inputs) * 1e6
    return work


def engine(key, lines, *results):
    said = subprocess.run([f"{BUILD}/tests/bench_engine", key, lines, *results], capture_output=True, text=True, check=True)
    return [float(figure) for figure in re.findall(r"[\d.]+$", said.stdout, re.M)]


# ---- loading and starting ----------------------------------------------------------------------------------------

def loading():
    size = os.path.getsize(LARGE)
    load = (RUSHLIGHT, "rank", "--jobs", "1", "--next", "0", "--key", LARGE)
    events, ours = take_turns(7, lambda: run(f"{BUILD}/tests/events", LARGE), lambda: run(*load))
    memory = resident(*load)
    row(f"load a key of {size / 1e6:.0f} MB", f"{ours[0]:.2f} s", "libyaml's event loop", f"{events[0]:.2f} s",
        f"takes {ours[0] / events[0]:.2f} x")
    row("... memory at most", f"{memory / 1e6:.0f} MB", "the file", f"{size / 1e6:.0f} MB", f"takes {memory / size:.2f} x")


def starting():
    with open(f"{WORK}/line", "w", encoding="utf-8") as file:
        file.write("rest posture: folded\n")
    with open(f"{ADULTS}/key.yaml", encoding="utf-8") as file:
        listed = re.findall(r"^  - ([\w-]+\.yaml)$", file.read(), re.M)
    texts = [f"{ADULTS}/{name}" for name in ["key.yaml"] + listed]
    events, ours = take_turns(51, lambda: run(f"{BUILD}/tests/events", *texts),
                              lambda: run(RUSHLIGHT, "rank", stdin=f"{WORK}/line"))
    row("start to first answer, adult key", f"{ours[1] * 1e3:.1f} ms", "libyaml's event loop, same text",
        f"{events[1] * 1e3:.1f} ms", f"takes {ours[1] / events[1]:.2f} x")


# ---- the engine on a large key -----------------------------------------------------------------------------------

def check_rankings(ranking, lines):
    for sighting, line in zip(ranking.sightings, lines):
        forms = ranking.posterior(sighting)[:ranking.model.forms]
        taxa = forms.reshape(-1, ranking.model.each).sum(axis=1)
        name, probability = line.split("\t")
        if name.split("species")[1] != str(taxa.argmax()) or abs(float(probability) - taxa.max()) > 1e-6:
            sys.exit(f"measure: ranked otherwise: {line}, numpy {taxa.argmax()} {taxa.max()}")


def check_gains(gains, line, answered):
    ours = {int(c[1:]): float(gain) for c, gain in (entry.split() for entry in line.split("\t"))}
    if len(ours) + len(answered) != len(gains) or max(abs(gains[c] - gain) for c, gain in ours.items()) > 1e-6:
        sys.exit("measure: the gains of a look differ from numpy's")


def large():
    lines_of, results = f"{WORK}/large/lines.txt", f"{WORK}/results"
    engine(LARGE, lines_of, results)
    with open(lines_of, encoding="utf-8") as file:
        lines = file.read().splitlines()
    with open(results, encoding="utf-8") as file:
        came = file.read().splitlines()
    model = Model(f"{WORK}/large")
    ranking, looking = Ranking(model, lines[:300]), Looking(model)
    check_rankings(ranking, came)
    eight = [sighting[:8] for sighting in ranking.sightings[:20]]
    nothing = model.prior[:model.forms]
    after = [ranking.posterior(sighting)[:model.forms] for sighting in eight]
    for method in looking.formula, looking.by_profile:
        for forms, answered, line in zip([nothing] + after, [[]] + eight, came[len(lines):]):
            check_gains(method(forms), line, answered)
    ours, gather, add, bayes, formula, profile, formula8, profile8 = take_turns(
        5, lambda: engine(LARGE, lines_of), loop_of(ranking.gather, ranking.sightings), loop_of(ranking.add, ranking.sightings),
        loop_of(ranking.learned(), ranking.sightings[:60]), loop_of(looking.formula, [nothing] * 3),
        loop_of(looking.by_profile, [nothing] * 3), loop_of(looking.formula, after[:5]), loop_of(looking.by_profile, after[:5]))
    rank, look, look8 = ours
    row("rank, large key", f"{rank:.1f} us", "numpy, gather and sum", f"{gather:.0f} us", times(gather / rank))
    row("", "", "numpy, rows added in place", f"{add:.0f} us", times(add / rank))
    row("", "", "scikit-learn CategoricalNB", f"{bayes:.0f} us", times(bayes / rank))
    for what, mine, plain, clever in (("look next, large key, at first", look, formula, profile),
                                      ("... after 8 answers", look8, formula8, profile8)):
        row(what, f"{mine / 1e3:.2f} ms", "numpy, the formula", f"{plain / 1e3:.0f} ms", times(plain / mine))
        row("", "", "numpy, our own method", f"{clever / 1e3:.0f} ms", times(clever / mine))


# ---- the adult key -----------------------------------------------------------------------------------------------

def adults():
    with open(f"{WORK}/lines", encoding="utf-8") as file, open(f"{WORK}/few", "w", encoding="utf-8") as few:
        few.writelines(file.readline() for _ in range(2000))
    _, look, look8 = np.median([engine(ADULTS, f"{WORK}/few") for _ in range(5)], axis=0)
    row("look next, adult key, at first", f"{look:.0f} us", "")
    row("... with the answers of a line", f"{look8:.0f} us", "")


def pipe():
    lines, out = f"{WORK}/lines", f"{WORK}/out"
    with open(lines, "rb") as file:
        count = sum(1 for _ in file)
    run(*PIPE, "--jobs", "1", stdin=lines, stdout=out)
    run(*PIPE, "--jobs", "2", stdin=lines, stdout=f"{WORK}/out2")
    subprocess.run(["cmp", out, f"{WORK}/out2"], check=True)
    numpy = (sys.executable, f"{HERE}/rank_numpy.py", f"{BUILD}/tests/answer_tables", ADULTS, lines, "--write")
    subprocess.run([*numpy, "templates", "--check", out], check=True, capture_output=True)

    def by(how):
        said = subprocess.run([*numpy, how], capture_output=True, text=True, check=True).stdout
        return float(re.search(r"([\d.]+) microseconds a line", said).group(1))

    one, two, dumped, templates = take_turns(
        3, lambda: run(*PIPE, "--jobs", "1", stdin=lines), lambda: run(*PIPE, "--jobs", "2", stdin=lines),
        lambda: by("json"), lambda: by("templates"))
    mine = one[0] / count * 1e6
    row(f"pipe, adult key, {count} lines", f"{mine:.2f} us a line", "numpy, one-hot product, json.dumps",
        f"{dumped:.0f} us a line", times(dumped / mine))
    row("", "", "numpy, JSON by hand-made templates", f"{templates:.0f} us a line", times(templates / mine))
    row("... two jobs, on the clock", f"{two[1]:.2f} s", "one job", f"{one[1]:.2f} s", times(one[1] / two[1]))


def machine():
    with open("/proc/cpuinfo", encoding="utf-8") as file:
        name = re.search(r"model name\s*: (.*)", file.read())
    said = subprocess.run([f"{BUILD}/tests/bandwidth"], capture_output=True, text=True, check=True)
    return f"{name.group(1) if name else 'unknown processor'}, {os.cpu_count()} cores; one thread reads memory at {said.stdout.strip()} GB/s"


def main():
    print(machine() + "\n")
    for part in starting, loading, adults, large, pipe:
        part()
    rows.insert(0, ("what", "ours", "reference", "its figure", "ratio"))
    widths = [max(len(cells[i]) for cells in rows) for i in range(5)]
    for cells in rows:
        print("  ".join(cell.ljust(width) for cell, width in zip(cells, widths)).rstrip())


main()
