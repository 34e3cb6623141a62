#!/usr/bin/env python3
"""Bars on a printed handout are as long as they say, within 1 %.

    scale.py SHEET.pdf MILLIMETRES PAGE

The page is drawn at 600 dots an inch by poppler's pdftoppm; the longest unbroken run of black in the row that has the
longest one is measured. 25.4 mm are an inch (ISO 80000-3; the inch of 1959).
"""
import re
import subprocess
import sys

DPI = 600
pdf, wanted, page = sys.argv[1], float(sys.argv[2]), sys.argv[3]
data = subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-f", page, "-l", page, pdf],
                      stdout=subprocess.PIPE, check=True).stdout
head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", data)
width, height = int(head.group(1)), int(head.group(2))
runs = set()
for y in range(height):
    row = data[head.end() + y * width:head.end() + (y + 1) * width]
    runs.update(len(run) for run in re.findall(rb"[\x00-\x60]{300,}", row))
found = [run / DPI * 25.4 for run in sorted(runs)]
near = [mm for mm in found if abs(mm - wanted) <= wanted * 0.01]
print("wanted %.1f mm, found %s" % (wanted, ", ".join("%.2f" % mm for mm in near[:3]) or "none of %s" % found))
sys.exit(not near)
