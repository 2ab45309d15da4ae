"""Workbooks whose cells, and with a fixed creation day their bytes, are determined by the rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path

import xlsxwriter

from fleetstats.synthetic.layout import Layout
from fleetstats.synthetic.rows import Row
from fleetstats.synthetic.writers.delimited import line_of

CREATED = dt.datetime(2026, 1, 1)


def write_workbook(path: Path, layout: Layout, sheets: Mapping[str, Sequence[Row]], titles: Mapping[str, Sequence[str]]) -> None:
    """Write one sheet per name: title rows, headings, rows; every row gets its number as a person counts."""
    with xlsxwriter.Workbook(str(path), {"default_date_format": "dd/mm/yyyy"}) as book:
        book.set_properties({"created": CREATED})
        day_format = book.add_format({"num_format": "dd/mm/yyyy"})
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            headings = list(layout.columns)
            for place, title in enumerate(titles[name]):
                sheet.write(place, 0, title or None)
            top = len(titles[name])
            sheet.write_row(top, 0, headings)
            for number, row in enumerate(rows, start=top + 2):
                row.number, row.sheet, row.file = number, name, path.name
                _write_line(sheet, number - 1, line_of(layout, row, headings, ()), day_format)


def _write_line(sheet: xlsxwriter.worksheet.Worksheet, place: int, cells: Sequence[object], day_format: object) -> None:
    for column, cell in enumerate(cells):
        if isinstance(cell, dt.date):
            if cell.year > 1900:
                sheet.write_datetime(place, column, dt.datetime.combine(cell, dt.time()), day_format)
            else:
                sheet.write_number(place, column, 1, day_format)
        elif cell is not None and cell != "":
            sheet.write(place, column, cell)
