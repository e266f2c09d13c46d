"""Writes the same table as .xlsx by openpyxl and as .ods by odfpy.

usage: write_books.py TABLE.json FOLDER

The table is a list of rows, a row a list of cells: null for none, or
[kind, value] with kind n (number), s (text), b (boolean), t (date-time, ISO
8601), d (date), e (time elapsed, in seconds).
"""

import datetime
import json
import sys


def when(text):
    return datetime.datetime.fromisoformat(text)


def write_xlsx(rows, path):
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Run"
    for r, row in enumerate(rows, 1):
        for c, cell in enumerate(row, 1):
            if cell is None:
                continue
            kind, value = cell
            at = sheet.cell(row=r, column=c)
            if kind == "t":
                value = when(value)
            elif kind == "d":
                value = when(value).date()
            elif kind == "e":
                value = datetime.timedelta(seconds=value)
            at.value = value
            if kind == "s":
                at.data_type = "s"  # also where it begins with "="
    book.save(path)


def write_ods(rows, path):
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    document = OpenDocumentSpreadsheet()
    sheet = Table(name="Run")
    for row in rows:
        out = TableRow()
        for cell in row:
            if cell is None:
                out.addElement(TableCell())
                continue
            kind, value = cell
            if kind == "n":
                at = TableCell(valuetype="float", value=repr(value))
            elif kind == "s":
                at = TableCell(valuetype="string")
                at.addElement(P(text=value))
            elif kind == "b":
                at = TableCell(valuetype="boolean", booleanvalue="true" if value else "false")
            elif kind in "td":
                at = TableCell(valuetype="date", datevalue=value)
            else:
                minutes, seconds = divmod(value, 60)
                hours, minutes = divmod(int(minutes), 60)
                at = TableCell(valuetype="time", timevalue="PT%dH%dM%sS" % (hours, minutes, repr(round(seconds, 3))))
            out.addElement(at)
        sheet.addElement(out)
    document.spreadsheet.addElement(sheet)
    document.save(path)


rows = json.load(open(sys.argv[1], encoding="utf-8"))
write_xlsx(rows, sys.argv[2] + "/book.xlsx")
write_ods(rows, sys.argv[2] + "/book.ods")
