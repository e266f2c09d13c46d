"""Reads logs with Python's csv module and with pandas, each told the dialect.

Takes a JSON list of files with their dialects on stdin; answers with JSON:
for each file the columns asked for, as hexadecimal floats, by both readers.
"""
import csv
import json
import sys

import pandas


def by_csv(f):
    with open(f["file"], encoding=f["encoding"], newline="") as text:
        rows = list(csv.reader(
            text, delimiter=f["delimiter"], quotechar='"', skipinitialspace=f["padded"]))
    rows = rows[f["skip"]:]
    columns = []
    for c in f["columns"]:
        column = []
        for row in rows:
            cell = row[c].strip()
            if f["group"]:
                cell = cell.replace(f["group"], "")
            column.append(float(cell.replace(f["mark"], ".")).hex())
        columns.append(column)
    return columns


def by_pandas(f):
    table = pandas.read_csv(
        f["file"], encoding=f["encoding"], sep=r"\s+" if f["padded"] else f["delimiter"],
        header=None, skiprows=f["skip"], skip_blank_lines=False, usecols=f["columns"],
        names=range(f["width"]), index_col=False, skipinitialspace=True, quotechar='"', decimal=f["mark"],
        thousands=f["group"] or None, float_precision="round_trip", engine="c")
    return [[float(x).hex() for x in table[c]] for c in f["columns"]]


json.dump([{"csv": by_csv(f), "pandas": by_pandas(f)} for f in json.load(sys.stdin)], sys.stdout)
