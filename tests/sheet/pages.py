#!/usr/bin/env python3
"""The pages of a printed handout are used, and an account stands on one of them.

    pages.py SHEET.pdf MOST-BLANK ACCOUNTS

Of the height between the margins (12 mm of A4's 297) at most MOST-BLANK percent stay blank below the last line, on
average over all pages but the last. No page ends with what leads on to drawings. With ACCOUNTS `whole`, each page has as many ends of accounts as it has beginnings.
"""
import re
import subprocess
import sys

DPI, MARGIN, HEIGHT = 50, 12, 297
pdf, most, accounts = sys.argv[1], float(sys.argv[2]), sys.argv[3]
wrong = 0


def fail(why):
    global wrong
    wrong = 1
    print("FAILED sheet/pages: %s: %s" % (pdf, why))


data = subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", pdf], stdout=subprocess.PIPE, check=True).stdout
blank, at = [], 0
while at < len(data):
    head = re.compile(rb"P5\s+(\d+)\s+(\d+)\s+255\s").match(data, at)
    width, height = int(head.group(1)), int(head.group(2))
    rows = [data[head.end() + y * width:head.end() + (y + 1) * width] for y in range(height)]
    last = max((y for y in range(height) if min(rows[y]) < 128), default=0)
    blank.append(100 * (1 - MARGIN / HEIGHT - last / height) / (1 - 2 * MARGIN / HEIGHT))
    at = head.end() + width * height
mean = sum(blank[:-1]) / max(1, len(blank) - 1)
print("%d pages, %.1f %% of their height blank" % (len(blank), mean))
if mean > most:
    fail("%.1f %% blank: %s" % (mean, " ".join("%.0f" % page for page in blank)))
text = subprocess.run(["pdftotext", pdf, "-"], stdout=subprocess.PIPE, check=True).stdout.decode()
for number, page in enumerate(text.split("\f"), 1):
    # A calendar of months stands at the beginning, the sources at the end.
    if page.rstrip().endswith("that the words name."):
        fail("page %d ends with a heading" % number)
    begun, ended = len(re.findall(r"A\s+S\s+O\s+N\s+D\b", page)), page.count("sources:")
    if accounts == "whole" and begun != ended:
        fail("page %d: %d accounts begin and %d end" % (number, begun, ended))
sys.exit(wrong)
