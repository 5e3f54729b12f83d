"""Reads a table with Python's own reader, strictly, and prints its cells: U+001F between cells, U+001D after a row."""
import csv
import sys

with open(sys.argv[1], newline="", encoding="utf-8") as table:
    for row in csv.reader(table, strict=True):
        sys.stdout.write("\x1f".join(row) + "\x1d")
