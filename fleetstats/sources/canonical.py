"""Files that carry our own column names need no profile: one is made from their headings."""

from __future__ import annotations

import difflib
from pathlib import PurePath

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.columns import shown
from fleetstats.sources.encodings import decode
from fleetstats.sources.json_files import read_json
from fleetstats.sources.parquet_files import read_parquet
from fleetstats.sources.profile import HELPER_COLUMNS, TEXT_TABLES, WORKBOOKS, Format, Kind, Profile
from fleetstats.sources.typed import MADE_LATER
from fleetstats.sources.workbooks import workbook_rows
from fleetstats.tables import INPUT_TABLES, Table

NOTES_SHEET = "notes"
DELIMITERS = (",", ";", "\t")
KINDS: dict[str, Kind] = {".xlsx": "xlsx", ".xls": "xls", ".ods": "ods", ".json": "json", ".jsonl": "json", ".ndjson": "json", ".parquet": "parquet"}
"""Ending of a file -> its kind, where it is not text in cells."""


def own_profiles(data: bytes, file: str, inner: str) -> list[Profile]:
    """The profiles of a file whose headings (and sheet names) are canonical, one per table that it fills. inner: what it is called when unpacked.

    Dates are ISO, the decimal mark is a point. Raises InputRefused where the headings fit no table, or more than one.
    """
    kind = KINDS.get(PurePath(inner).suffix.lower(), "csv")
    if kind in WORKBOOKS:
        heads = {name: [str(cell).strip() for cell in next(rows, (0, []))[1]] for name, rows in workbook_rows(data, file) if name != NOTES_SHEET}
        filled = [_sheet_profile(name, headings, file, kind) for name, headings in heads.items() if any(headings)]
        if not filled:
            raise InputRefused(Problem(what="no sheet has headings in its first row", file=file, remedy="Fill the template, or take it out of raw/."))
        return filled
    if kind != "csv":
        layout = Format(kind=kind, thousands="")
        headings = list((read_json if kind == "json" else read_parquet)(data, file, layout)[0].headings)
        return [_profile(_table_of(headings, file), headings, file, layout)]
    first = decode(data, file, None).lstrip("\r\n").split("\n", 1)[0].strip()
    delimiter = max(DELIMITERS, key=first.count)
    headings = [heading.strip().strip('"') for heading in first.split(delimiter)]
    return [_profile(_table_of(headings, file), headings, file, Format(delimiter=delimiter, thousands=""))]


def _sheet_profile(sheet: str, headings: list[str], file: str, kind: Kind) -> Profile:
    headings = [heading for heading in headings if heading]
    table = INPUT_TABLES.get(sheet)
    if table is None or not _fits(table, headings):
        raise InputRefused(_no_profile(file, headings, sheet))
    return _profile(table, headings, file, Format(kind=kind, sheets=(sheet,), thousands=""))


def _profile(table: Table, headings: list[str], file: str, layout: Format) -> Profile:
    return Profile(files=(file,), table=table.name, format=layout, columns={heading: heading for heading in headings})


def _table_of(headings: list[str], file: str) -> Table:
    fitting = [table for table in INPUT_TABLES.values() if _fits(table, headings)]
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        raise InputRefused(_no_profile(file, headings, None))
    names = " and ".join(table.name for table in fitting)
    remedy = "Add a heading that only one of them has, or write a profile."
    raise InputRefused(Problem(what=f"the headings fit several tables: {names}", file=file, remedy=remedy))


def _fits(table: Table, headings: list[str]) -> bool:
    allowed = {*table.columns, *(HELPER_COLUMNS if table.name in TEXT_TABLES else ())}
    needed = {name for name, column in table.columns.items() if not column.nullable} - {*MADE_LATER.get(table.name, ())}
    return set(headings) <= allowed and needed <= set(headings) and len(headings) > 0


def _no_profile(file: str, headings: list[str], sheet: str | None) -> Problem:
    every = sorted({name for table in INPUT_TABLES.values() for name in table.columns})
    strange = next((heading for heading in headings if heading not in every), None)
    near = difflib.get_close_matches(strange, every, n=1, cutoff=0.75) if strange else []
    column = shown(strange) if strange else None
    hint = f' If "{strange}" should be "{near[0]}", mend the heading.' if near else ""
    return Problem(what="no profile fits this file, and its headings are not our own column names", file=file, sheet=sheet, column=column,
                   remedy=f"Run 'fleetstats draft' on it, finish the draft and put it into profiles/.{hint}")
