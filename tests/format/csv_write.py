"""Writes a made-up table with Python's own writer, apart by the mark named; or "plain": its cells as the test compares them."""
import csv
import random
import sys

marks = {"comma": ",", "semicolon": ";", "tab": "\t"}
random.seed(4180)
letters = ["a", "7", " ", '"', ",", ";", "\t", "\r\n", "\n", "\u00fc", "\u6c34", "'"]
rows = [["".join(random.choices(letters, k=random.randrange(6))) + "." for _ in range(5)] for _ in range(400)]
sys.stdout.reconfigure(newline="", encoding="utf-8")
if sys.argv[1] == "plain":
    sys.stdout.write("".join("|".join(row) + "/" for row in rows))
else:
    csv.writer(sys.stdout, delimiter=marks[sys.argv[1]]).writerows(rows)
