#!/usr/bin/env python3
"""A pipe that trickles is answered line by line: each answer is there before the next line is sent, so order is
what is tested and not time. Then a reader that goes away, and errors in their place among the results.

usage: trickle.py PROGRAM
"""
import os
import select
import subprocess
import sys

program = sys.argv[1]
here = os.path.dirname(os.path.abspath(__file__))
key = os.path.join(here, "../cases/keys/shore")
PATIENCE = 60  # seconds: only a program that never answers is waited for so long


def start(*words, **how):
    return subprocess.Popen([program, "rank", "--key", key, *words], stdin=subprocess.PIPE, **how)


def read_line(pipe):
    line = b""
    while not line.endswith(b"\n"):
        if not select.select([pipe], [], [], PATIENCE)[0]:
            sys.exit("trickle: no answer before the next line")
        byte = os.read(pipe.fileno(), 1)
        if not byte:
            sys.exit("trickle: the output ended")
        line += byte
    return line


def trickles(form, header, lines, jobs):
    run = start("--in", form, "--out", "jsonl", "--top", "1", "--next", "0", "--jobs", str(jobs),
                stdout=subprocess.PIPE, bufsize=0)
    if header:
        os.write(run.stdin.fileno(), header)
    for number, line in enumerate(lines):
        # In two pieces, as a terminal or a slow sender may have it.
        os.write(run.stdin.fileno(), line[:5])
        os.write(run.stdin.fileno(), line[5:])
        if b'"id":"T-%d"' % number not in read_line(run.stdout):
            sys.exit(f"trickle: another answer than that of line {number}")
    run.stdin.close()
    if run.stdout.read() or run.wait():
        sys.exit("trickle: something is left at the end")


COUNT = 40
for jobs in (1, 2, 5):
    trickles("lines", None, [b"id: T-%d; outline: round\n" % i for i in range(COUNT)], jobs)
    trickles("csv", b"id,outline,notes\n", [b'T-%d,round,"over\nlines"\n' % i for i in range(COUNT)], jobs)
    trickles("jsonl", None, [b'{"id": "T-%d", "outline": "round"}\n' % i for i in range(COUNT)], jobs)

# `rank | head -1`: the reader goes away. That is said by the status alone.
for jobs in (1, 4):
    run = start("--out", "jsonl", "--jobs", str(jobs), stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    run.stdout.close()
    try:
        for i in range(50000):
            run.stdin.write(b"outline: round\n")
        run.stdin.close()
    except BrokenPipeError:
        pass
    said = run.stderr.read()
    if run.wait() != 4 or said:
        sys.exit(f"trickle: a reader that has gone: status {run.returncode}, {said.decode()!r}")

# Errors keep their place among the results, on one screen, however many work on them.
text = b"".join(b"id: T-%d; outline: %s\n" % (i, b"round" if i % 3 else b"ruond") for i in range(3000))
shown = set()
for jobs in (1, 2, 7):
    run = start("--top", "0", "--next", "0", "--jobs", str(jobs), stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    out, _ = run.communicate(text)
    lines = [line.split(b":")[1].split()[0] for line in out.splitlines() if line.startswith(b"stdin:")]
    if lines != [b"%d" % (i + 1) for i in range(3000)]:
        sys.exit(f"trickle: with {jobs} jobs results and errors are not in the order of the lines")
    shown.add(out)
if len(shown) != 1:
    sys.exit("trickle: another output with more jobs")
# A file in pieces, each of which is told its first line, gives what the file gives as a whole.
def whole(form, text, *words):
    run = start("--in", form, "--out", "jsonl", "--next", "1", *words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    return run.communicate(text)[0]


for form, header, row in (("lines", b"", b"id: T-%d; outline: round\n"), ("csv", b"id,outline\n", b"T-%d,round\n"),
                          ("jsonl", b"", b'{"id": "T-%d", "outline": "round"}\n')):
    rows = [row % i for i in range(500)]
    rows[77] = b"\n"
    rows[310] = rows[310].replace(b"round", b"ruond")
    first = 2 if header else 1
    pieces = b"".join(whole(form, header + b"".join(rows[at:at + 60]), "--first-line", str(at + first))
                      for at in range(0, 500, 60))
    if pieces != whole(form, header + b"".join(rows)):
        sys.exit(f"trickle: {form} in pieces is another output")
print("trickle: line by line, in order, with 1 to 7 jobs")
