"""Rows dressed and written: delimited, fixed width, workbook, JSON lines, Parquet; every row gets its address."""

from __future__ import annotations

import csv
import datetime as dt
import gzip
import io
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import xlsxwriter

from tests.drawn.layout import Layout
from tests.drawn.rows import Row

DAYS = ("complaint_on", "opened_on", "date_in", "date_out", "reported_on")
SUMS = ("parts_cost", "labour_cost", "other_cost", "total_cost")
SUFFIX = {"csv": ".csv", "fixed": ".txt", "xlsx": ".xlsx", "json": ".jsonl", "parquet": ".parquet"}
GAP = 2
"""Blank signs between the columns of a fixed-width file."""


def write_rows(folder: Path, stem: str, layout: Layout, rows: list[Row]) -> str:
    """Write the rows, note their addresses, return the name of the file."""
    name = f"{stem}{SUFFIX[layout.kind]}{layout.suffix}"
    WRITERS[layout.kind](folder / name, layout, rows)
    for row in rows:
        row.file = name
    return name


def widths_of(layout: Layout, rows: list[Row]) -> list[int]:
    """Widths of the columns of a fixed-width file, the gap to the next one included."""
    lines = _lines(layout, rows)
    return [max(len(line[place]) for line in lines) + GAP for place in range(len(lines[0]))]


def spelled(text: str, style: str) -> str:
    """An identifier in the spelling of a shop."""
    match = re.match(r"^([A-Za-z]*)(\d.*)$", text)
    if style == "lower":
        return text.lower()
    if style == "prefix":
        return f"#{text}"
    if match is None or style == "plain":
        return text
    letters, number = match[1], match[2]
    if style == "short":
        return f"{letters}{number.lstrip('0') or '0'}"
    mark = "-" if style == "dash" else " "
    return f"{letters}{mark}{number}" if letters else f"{number[:2]}{mark}{number[2:]}" if len(number) > 5 else text


def texts(layout: Layout, row: Row) -> list[str]:
    """The cells of a row as text, in the order of the columns."""
    return [_text(layout, name, row.cells.get(name)) for name in layout.headings]


def _text(layout: Layout, name: str, value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, dt.date):
        return layout.date(value)
    if name in SUMS:
        return layout.money(value) if isinstance(value, float | int) else str(value)
    if name == "labour_hours":
        return layout.time(value) if isinstance(value, int) else str(value)
    if name in layout.values:
        return layout.word(name, value)
    if name in ("removed_serial", "fitted_serial"):
        return spelled(value, layout.serial) if any(sign.isdigit() for sign in value) else str(value)
    return spelled(value, layout.vehicle) if name == "vehicle_id" else str(value)


def _native(layout: Layout, name: str, value: Any) -> Any:
    """A cell with its type, where the kind of file has types."""
    if isinstance(value, dt.date):
        return value
    if name in SUMS and isinstance(value, float | int):
        return round(value * (1 + layout.tax_rate), 2)
    return _text(layout, name, value) or None


def _lines(layout: Layout, rows: list[Row]) -> list[list[str]]:
    """Headings, then a list of cells for every row; a line of furniture stands in the first cell."""
    width = len(layout.headings)
    headings = list(layout.headings.values())
    body = [headings if row.line == "headings" else [row.line, *[""] * (width - 1)] if row.kind == "furniture" else texts(layout, row) for row in rows]
    return [headings, *body]


def _number(rows: list[Row], first: int) -> None:
    for number, row in enumerate(rows, start=first):
        row.number = number


def _delimited(path: Path, layout: Layout, rows: list[Row]) -> None:
    text = io.StringIO(newline="")
    lines = _lines(layout, rows)
    csv.writer(text, delimiter=layout.delimiter, lineterminator="\r\n" if layout.region == "us" else "\n").writerows(lines)
    number = 2
    for row, cells in zip(rows, lines[1:], strict=True):
        row.number = number
        number += 1 + sum(cell.count("\n") for cell in cells)
    _save(path, text.getvalue().encode(layout.encoding, "replace"))


def _fixed(path: Path, layout: Layout, rows: list[Row]) -> None:
    widths = widths_of(layout, rows)
    _number(rows, 2)
    lines = ["".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip() for line in _lines(layout, rows)]
    _save(path, "".join(f"{line}\n" for line in lines).encode(layout.encoding))


def _workbook(path: Path, layout: Layout, rows: list[Row]) -> None:
    with xlsxwriter.Workbook(str(path)) as book:
        book.set_properties({"created": dt.datetime(2026, 1, 1)})
        day = book.add_format({"num_format": "dd/mm/yyyy"})
        sheet = book.add_worksheet("Jobs")
        for place in range(layout.titles):
            sheet.write(place, 0, ("List of jobs", layout.shop, "", "all amounts as billed")[place] or None)
        headings = list(layout.headings.values())
        sheet.write_row(layout.titles, 0, headings)
        for number, row in enumerate(rows, start=layout.titles + 1):
            row.sheet = "Jobs"
            if row.kind == "furniture":
                sheet.write_row(number, 0, headings if row.line == "headings" else [row.line or None])
                continue
            for place, name in enumerate(layout.headings):
                value = _native(layout, name, row.cells.get(name))
                if isinstance(value, dt.date) and value.year > 1900:
                    sheet.write_datetime(number, place, dt.datetime.combine(value, dt.time()), day)
                elif value is not None:
                    sheet.write(number, place, 1 if isinstance(value, dt.date) else value)
    _number(rows, layout.titles + 2)


def _json_lines(path: Path, layout: Layout, rows: list[Row]) -> None:
    records = [dict(zip(layout.headings.values(), texts(layout, row), strict=True)) for row in rows]
    _number(rows, 1)
    _save(path, "".join(json.dumps({name: text for name, text in record.items() if text}, ensure_ascii=False) + "\n" for record in records).encode("utf-8"))


def _parquet(path: Path, layout: Layout, rows: list[Row]) -> None:
    columns = {}
    for name, heading in layout.headings.items():
        values = [_native(layout, name, row.cells.get(name)) for row in rows]
        kinds = {type(value) for value in values if value is not None}
        columns[heading] = pa.array(values if len(kinds) == 1 else [_text(layout, name, row.cells.get(name)) or None for row in rows])
    _number(rows, 1)
    pq.write_table(pa.table(columns), path)


def _save(path: Path, data: bytes) -> None:
    path.write_bytes(gzip.compress(data, mtime=0) if path.suffix == ".gz" else data)


WRITERS: dict[str, Callable[[Path, Layout, list[Row]], None]] = {
    "csv": _delimited, "fixed": _fixed, "xlsx": _workbook, "json": _json_lines, "parquet": _parquet}
