"""Puts CSV files into one workbook by openpyxl, a sheet each, as a person's program would: numbers
as numbers, days as days.

python3 as_workbook.py OUT.xlsx FILE…
"""

import csv
import datetime
import pathlib
import sys

import openpyxl


def cell(text):
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        pass
    try:
        return float(text)
    except ValueError:
        return text or None


book = openpyxl.Workbook()
book.remove(book.active)
for file in sys.argv[2:]:
    sheet = book.create_sheet(pathlib.Path(file).stem)
    with open(file, newline="", encoding="utf-8") as lines:
        for row in csv.reader(lines):
            sheet.append([cell(text) for text in row])
book.save(sys.argv[1])
