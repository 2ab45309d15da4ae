"""How a file looks before anyone has described it: kind, delimiter or places, encoding, row of the headings."""

from __future__ import annotations

import csv
import json
import re
import sqlite3
from collections import Counter
from collections.abc import Sequence
from contextlib import closing
from pathlib import PurePath

from fleetstats.sources.encodings import WORKBOOK_MARK, guess_encoding, is_utf8
from fleetstats.sources.profile import WORKBOOKS, Format, Kind
from fleetstats.sources.raw_sheet import RawSheet, clean
from fleetstats.sources.workbook_facts import Range
from fleetstats.sources.workbooks import kind_of as kind_of_workbook
from fleetstats.sources.workbooks import sheet_tops

SUFFIXES: dict[str, Kind] = {".xlsx": "xlsx", ".xlsm": "xlsx", ".xls": "xls", ".ods": "ods", ".json": "json", ".jsonl": "json", ".ndjson": "json",
                             ".parquet": "parquet", ".sqlite": "sqlite", ".sqlite3": "sqlite", ".db": "sqlite"}
"""Kinds of files that are no plain text, by the end of their names."""

DELIMITERS = (",", ";", "\t", "|")
LINES = 200
HEADING_ROWS = 12
WIDE, WORDY = 0.7, 0.8
FEWEST_LINES = 4
"""Lines that must leave the same places blank before these are taken for gaps between fixed places."""

BLANK = re.compile(r" +")
MOST_LEVELS = 4
"""Rows that headings may take, see `Format.heading_rows`."""

FEWEST_HEADINGS = 3
"""Different words of a row of headings, where the sheet is as wide: a title merged over all columns is one word."""


def guess_layout(data: bytes, file: str) -> Format:
    """Kind, delimiter or places, encoding and heading row as they look; all of it is for a person to confirm.

    Raises InputRefused for a broken workbook.
    """
    kind = kind_of(data, file)
    if kind in WORKBOOKS:
        return _workbook(data, file, kind_of_workbook(data, file))
    if kind == "json":
        return Format(kind="json", records=_records(data))
    if kind == "sqlite":
        return Format(kind="sqlite", query=_query(data))
    if kind != "csv":
        return Format(kind=kind)
    encoding = "utf-8" if is_utf8(data) else guess_encoding(data) or "cp1252"
    every = data.decode(encoding, errors="replace").removeprefix("\ufeff").splitlines()
    lines = every[:LINES]
    places = _places(lines, max(map(len, every), default=0))
    delimiter, sure = _delimiter(lines)
    if places and not sure:
        header_row, positions = places
        return Format(kind="fixed", encoding=encoding, header_row=header_row, positions=positions)
    rows = [[cell for cell in row if cell.strip()] for row in csv.reader(lines[:HEADING_ROWS], delimiter=delimiter)]
    return Format(delimiter=delimiter, encoding=encoding, header_row=heading_row(rows))


def _workbook(data: bytes, file: str, kind: str) -> Format:
    """The headings of the longest sheet, and the sheets that have theirs in the same rows."""
    found = {name: (rows, _levels(top, merged)) for name, rows, top, merged in sheet_tops(data, file, HEADING_ROWS) if top}
    first, levels = max(found.values(), default=(0, (1, 1)), key=lambda each: each[0])[1]
    alike = tuple(name for name, (_, place) in found.items() if place == (first, levels))
    return Format.model_validate({"kind": kind, "header_row": first, "heading_rows": levels, "sheets": () if len(alike) == len(found) else alike})


def lowest_headings(data: bytes, file: str, layout: Format, sheets: Sequence[RawSheet]) -> dict[str, str]:
    """Heading -> what stands in the lowest row of it, of those that take several rows; empty where they take one. The sheets are those of this workbook."""
    if layout.heading_rows == 1:
        return {}
    headings = {sheet.sheet: sheet.headings for sheet in sheets}
    last = layout.header_row + layout.heading_rows - 1
    tops = {name: top[last - 1] for name, _, top, _ in sheet_tops(data, file, last) if name in headings and len(top) == last}
    return {heading: " ".join(str(cell).split()) for name, row in tops.items() for heading, cell in zip(headings[name], map(clean, row), strict=False) if cell}


def _levels(rows: Sequence[Sequence[object]], merged: Sequence[Range]) -> tuple[int, int]:
    """First row of the headings and how many rows they take: merged over some columns they have parts below them, merged over rows they reach down, and a row
    above in which some cells right of the first column are merged belongs to them, where a title would stand on the left or over all columns."""
    cells = [[clean(cell) for cell in row] for row in rows]
    width = max((len(row) for row in cells), default=0)
    cells = [row + [None] * (width - len(row)) for row in cells]
    for (top, left), (bottom, right) in merged:
        for row in cells[top:bottom + 1]:
            row[left:right + 1] = [cells[top][left]] * (min(right, width - 1) - left + 1)
    filled = [[cell for cell in row if cell is not None] for row in cells]
    first = heading_row([row if len(set(map(str, row))) >= min(FEWEST_HEADINGS, width) else [] for row in filled])
    last = first
    while any(top + 2 == first and right > left > 0 for (top, left), (_, right) in merged) and first > max(1, last - MOST_LEVELS + 1):
        first -= 1
    while last < first + MOST_LEVELS - 1:
        within = [span for span in merged if first <= span[0][0] + 1 <= last]
        parted = any(right > left and bottom + 1 == last for (_, left), (bottom, right) in within) and last < len(rows) and _wordy(filled[last])
        reached = max([last + parted, *(bottom + 1 for _, (bottom, _) in within)])
        if reached == last:
            break
        last = min(reached, first + MOST_LEVELS - 1)
    return first, last - first + 1


def kind_of(data: bytes, file: str) -> Kind:
    """Kind of a file by its first bytes and the end of its name; text with a delimiter where nothing tells."""
    known = SUFFIXES.get(PurePath(file.lower()).suffix)
    return "xlsx" if data.startswith(WORKBOOK_MARK) and known != "ods" else known or "csv"


def _records(data: bytes) -> str:
    """Path to the longest list of records of a JSON document; empty where it is one itself, or has a record on each line."""
    try:
        document = json.loads(data)
    except (ValueError, RecursionError):
        return ""
    lists: dict[str, int] = {}
    parts: list[tuple[str, object]] = [("", document)]
    while parts:
        path, part = parts.pop()
        if isinstance(part, list) and all(isinstance(one, dict) for one in part[:1]):
            lists[path] = len(part)
        elif isinstance(part, dict) and path.count(".") < 4:
            parts += [(f"{path}.{name}".lstrip("."), value) for name, value in part.items()]
    return max(lists, key=lambda path: lists[path], default="")


def _query(data: bytes) -> str:
    """A SELECT of everything in the longest table of a database."""
    try:
        with closing(sqlite3.connect(":memory:")) as base:
            base.deserialize(data)
            names = [name for name, in base.execute("select name from sqlite_master where type = 'table' and name not like 'sqlite_%' order by name")]
            quoted = {name: '"' + name.replace('"', '""') + '"' for name in names}
            longest = max(names, key=lambda name: base.execute(f"select count(*) from {quoted[name]}").fetchone()[0], default=None)
    except sqlite3.Error:
        longest = None
    return f"select * from {quoted[longest]}" if longest is not None else "select ..."


def _delimiter(lines: Sequence[str]) -> tuple[str, bool]:
    """The mark that parts most lines into the same number of cells, and whether it parts more than half of them so."""
    merits = {mark: _merit(lines, mark) for mark in DELIMITERS}
    best = max(merits, key=lambda mark: merits[mark][0] * merits[mark][1])
    return best, merits[best][0] > 0.5


def _merit(lines: Sequence[str], mark: str) -> tuple[float, int]:
    """Share of the lines that a mark parts into the commonest number of cells, and that number."""
    try:
        widths = Counter(len(row) for row in csv.reader(lines, delimiter=mark) if any(cell.strip() for cell in row))
    except csv.Error:
        return 0.0, 1
    width, times = max(((width, times) for width, times in widths.items() if width > 1), key=lambda item: item[0] * item[1], default=(1, 0))
    return times / max(widths.total(), 1), width


def heading_row(rows: Sequence[Sequence[object]]) -> int:
    """The first row that is about as wide as the widest and whose cells are words, nearly all without a digit; 1 where none is."""
    widest = max((len(row) for row in rows), default=1)
    for number, row in enumerate(rows, start=1):
        if len(row) >= WIDE * widest and _wordy(row):
            return number
    return 1


def _wordy(row: Sequence[object]) -> bool:
    """Whether nearly all cells of a row are without a digit."""
    return sum(not any(sign.isdigit() for sign in str(cell)) for cell in row) >= WORDY * len(row) > 0


def _places(lines: Sequence[str], longest: int) -> tuple[int, dict[str, tuple[int, int]]] | None:
    """Row of the headings and places of the cells, where every line leaves the same places blank; None where it is no such file."""
    filled = [line.rstrip() for line in lines if line.strip()]
    if len(filled) < FEWEST_LINES or any("\t" in line for line in filled):
        return None
    widest = max(map(len, filled))
    near = [(number, line.rstrip()) for number, line in enumerate(lines, start=1) if len(line.rstrip()) >= WIDE * widest]
    used = [any(place < len(line) and line[place] != " " for _, line in near) for place in range(widest)]
    starts = [place for place in range(widest) if used[place] and (place == 0 or not used[place - 1])]
    number, head = near[0]
    starts = [start for start, end in zip(starts, [*starts[1:], widest], strict=True) if head[start:end].strip()]
    ends = [*(start - 1 for start in starts[1:]), longest]
    cells = {BLANK.sub(" ", head[start:end].strip()): (start + 1, max(end, start + 1)) for start, end in zip(starts, ends, strict=True)}
    words = [cell for cell in cells if cell and not any(sign.isdigit() for sign in cell)]
    return (number, cells) if len(starts) > 2 and len(cells) == len(starts) and len(words) >= WORDY * len(cells) and number <= HEADING_ROWS else None
