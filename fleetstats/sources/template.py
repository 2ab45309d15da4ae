"""The empty workbook: one sheet per table that files fill, headings only, and a sheet of notes."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import xlsxwriter

from fleetstats.sources.canonical import NOTES_SHEET
from fleetstats.sources.profile import TEXT_COLUMNS, TEXT_TABLES
from fleetstats.sources.typed import MADE_LATER
from fleetstats.tables import INPUT_TABLES, Table

TEXT_MEANINGS = {
    "complaint_text": "what was complained of, in words; fills symptom",
    "cause_text": "what was found, in words; fills called_item, called_mode, certainty",
    "correction_text": "what was done, in words; fills action, fitted_kind, fitted_origin",
    "item_text": "group of the job, in words",
    "readings_text": "what was measured, in words, e.g. 64 ohm, 11 wc; fills checks",
}


def template_workbook(path: Path) -> None:
    """Write the workbook to `path` (.xlsx). A filled one is read without a profile; dates ISO or real spreadsheet dates."""
    memory = io.BytesIO()
    with xlsxwriter.Workbook(memory, {"in_memory": True}) as book:
        bold = book.add_format({"bold": True})
        notes = book.add_worksheet(NOTES_SHEET)
        for row, line in enumerate(_notes()):
            notes.write_row(row, 0, line, bold if row == 0 else None)
        notes.set_column(0, 1, 20)
        notes.set_column(2, 2, 70)
        for table in INPUT_TABLES.values():
            sheet = book.add_worksheet(table.name)
            sheet.write_row(0, 0, headings(table), bold)
            sheet.freeze_panes(1, 0)
    path.write_bytes(memory.getvalue())


def headings(table: Table) -> list[str]:
    """Headings of a table's sheet: its columns, and the texts that fill them where the table takes texts."""
    return [*table.columns, *(TEXT_COLUMNS if table.name in TEXT_TABLES else ())]


def _notes() -> Iterator[tuple[str, ...]]:
    yield "sheet", "column", "meaning", "kind", "unit", "allowed values", "must be filled"
    for table in INPUT_TABLES.values():
        for name, column in table.columns.items():
            needed = not column.nullable and name not in MADE_LATER.get(table.name, ())
            yield table.name, name, column.meaning, column.kind, column.unit, ", ".join(column.values), "yes" if needed else ""
        for name in headings(table)[len(table.columns):]:
            yield table.name, name, TEXT_MEANINGS[name], "text", "", "", ""
