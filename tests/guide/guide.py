#!/usr/bin/env python3
"""Works through the author's guide as a reader would, in an empty folder.

    guide.py PROGRAM GUIDE [--update]

Every fenced block of the guide is run, in order:

    <!-- file: NAME -->     the block below is the file NAME
    <!-- add: NAME -->      the block below goes to the end of NAME
    <!-- change: NAME -->   a diff: lines with - stand in NAME, once, and make way for those with +
    ```console              lines that begin with "$ " are commands; what follows is what they say, on
                            standard output and standard error; `...` alone leaves out some lines
    ```text                 not run

A block of another kind without such a comment is an error. --update writes what the commands say now into
the guide: read the diff. The guide's reference is compared with the field tables of the key reader by fields.py.
"""
import os
import re
import subprocess
import sys
import tempfile

COMMENT = re.compile(r"<!-- (file|add|change): (\S+) -->$")
FENCE = re.compile(r"```(\w*)$")


class Wrong(Exception):
    pass


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def write(path, text):
    folder = os.path.dirname(path)
    if folder:
        os.makedirs(folder, exist_ok=True)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def hunks(lines):
    """The runs of a diff: what stands, what it becomes. Lines without a mark separate them."""
    old, new = [], []
    for line in lines + [""]:
        if line[:1] == "-" and not new:
            old.append(line[1:])
        elif line[:1] == "+" and old:
            new.append(line[1:])
        else:
            if old:
                yield old, new
            old, new = ([line[1:]], []) if line[:1] == "-" else ([], [])
            if line[:1] == "+":
                raise Wrong("a line with + behind none with -: " + line)


def change(path, lines):
    text = read(path)
    for old, new in hunks(lines):
        # a diff's first column may be followed by a space that is not the file's
        before = "".join(line + "\n" for line in old)
        if ("\n" + text).count("\n" + before) != 1:
            raise Wrong("not exactly once in %s:\n%s" % (path, before))
        at = ("\n" + text).index("\n" + before)
        text = text[:at] + "".join(line + "\n" for line in new) + text[at + len(before):]
    write(path, text)


def commands(lines):
    """Each command of a console block with the lines below it."""
    found = []
    for line in lines:
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif found and line.startswith("> ") and not found[-1][1]:
            found[-1] = (found[-1][0] + "\n" + line[2:], [])
        elif found:
            found[-1][1].append(line)
        else:
            raise Wrong("a console block begins without a command")
    return found


def shown(command):
    return ["%s%s" % ("> " if i else "$ ", line) for i, line in enumerate(command.split("\n"))]


def says(command, where, environment):
    done = subprocess.run(["sh", "-c", command], cwd=where, env=environment, timeout=300,
                          stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    if done.returncode not in (0, 1):
        raise Wrong("`%s` ended with %d:\n%s" % (command, done.returncode, done.stdout.decode()))
    return done.stdout.decode().split("\n")[:-1]


def meets(want, got):
    """Whether lines are the wanted ones, where `...` stands for some."""
    pattern = "".join("(?:[^\n]*\n)+?" if line == "..." else re.escape(line + "\n") for line in want)
    return re.fullmatch(pattern, "".join(line + "\n" for line in got)) is not None


def renewed(want, got):
    """The wanted lines anew: what a `...` leaves out stays left out, as far as its neighbours are found."""
    if "..." not in want or meets(want, got):
        return want if meets(want, got) else got
    at = want.index("...")
    head, tail = want[:at], want[at + 1:]
    keep_head, keep_tail = min(len(head), len(got)), min(len(tail), len(got))
    return got[:keep_head] + ["..."] + (got[len(got) - keep_tail:] if keep_tail else [])


class Reader:
    def __init__(self, program, update):
        self.update, self.wrong, self.run = update, 0, 0
        self.folder = tempfile.TemporaryDirectory()
        self.where = os.path.join(self.folder.name, "key")
        tools = os.path.join(self.folder.name, "bin")
        os.mkdir(self.where)
        os.mkdir(tools)
        os.symlink(os.path.abspath(program), os.path.join(tools, "rushlight"))
        self.environment = dict(os.environ, LC_ALL="C.UTF-8", HOME=self.folder.name,
                                PATH=tools + os.pathsep + os.environ["PATH"])

    def console(self, lines, line):
        out = []
        for command, want in commands(lines):
            got = says(command, self.where, self.environment)
            self.run += 1
            if not self.update and not meets(want, got):
                self.wrong += 1
                print("line %d: $ %s\nwanted:\n%s\ngot:\n%s\n"
                      % (line, command, "\n".join(want), "\n".join(got)))
            out += shown(command) + (renewed(want, got) if self.update else want)
        return out

    def block(self, kind, name, fence, lines, line):
        """What the block's lines become."""
        path = os.path.join(self.where, name or "")
        if kind == "file":
            write(path, "".join(each + "\n" for each in lines))
        elif kind == "add":
            write(path, read(path) + "".join(each + "\n" for each in lines))
        elif kind == "change":
            change(path, lines)
        elif fence == "console":
            return self.console(lines, line)
        elif fence != "text":
            raise Wrong("a block that nothing runs")
        return lines


def work_through(reader, text):
    out, lines, at = [], text.split("\n"), 0
    kind = name = None
    while at < len(lines):
        comment, fence = COMMENT.match(lines[at]), FENCE.match(lines[at])
        out.append(lines[at])
        at += 1
        if comment:
            kind, name = comment.groups()
        elif fence:
            end = lines.index("```", at)
            try:
                out += reader.block(kind, name, fence.group(1), lines[at:end], at)
            except Wrong as problem:
                sys.exit("line %d: %s" % (at, problem))
            out.append("```")
            at, kind, name = end + 1, None, None
        elif lines[at - 1].strip():
            kind = name = None
    return "\n".join(out)


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    reader = Reader(sys.argv[1], "--update" in sys.argv[3:])
    text = read(sys.argv[2])
    renewed_text = work_through(reader, text)
    if reader.update and renewed_text != text:
        write(sys.argv[2], renewed_text)
    print("guide: %d commands run, %d say something else" % (reader.run, reader.wrong))
    sys.exit(reader.wrong > 0)


main()
