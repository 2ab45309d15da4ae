"""Workbooks (XLSX, XLS, ODS): opened whole or refused, their sheets as numbered rows."""

from __future__ import annotations

import io
import zipfile
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from xml.etree import ElementTree
from xml.parsers import expat

from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook, PasswordError, XmlError, ZipError

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.compound_file import xls_facts
from fleetstats.sources.headings import joined_headings, spread, unmerged
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, raw_sheet_of_rows
from fleetstats.sources.workbook_facts import Range, SheetFacts, letters, ods_facts, xlsx_facts

COMPOUND_MARK = bytes.fromhex("d0cf11e0a1b11ae1")
ENCRYPTED = "EncryptedPackage".encode("utf-16-le")

NumberedRows = Iterator[tuple[int, Sequence[object]]]


def read_workbook(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The sheets of a workbook that its profile names, or all.

    Formulas give their stored values; a cell that holds an error is empty, with a note. Headings of several rows are joined from above.
    Raises InputRefused as `workbook_rows`, for another kind of workbook, and for headings that are not where they should be.
    """
    kind = kind_of(data, file)
    if kind != layout.kind:
        raise InputRefused(Problem(what=f"this is a workbook of the kind {kind}, not {layout.kind}", file=file,
                                   remedy=f'Set kind = "{kind}" under [format] of its profile.'))
    book, facts = _opened(data, file)
    return [_sheet(book.get_sheet_by_name(name), facts.get(name, SheetFacts()), file, layout) for name in _wanted(book, layout.sheets, file)]


def workbook_rows(data: bytes, file: str, sheets: Sequence[str] = ()) -> Iterator[tuple[str, NumberedRows]]:
    """Name and numbered rows of the sheets named, or of all. Raises InputRefused for a broken workbook or an unknown sheet."""
    book, facts = _opened(data, file)
    for name in _wanted(book, sheets, file):
        yield name, sheet_rows(book.get_sheet_by_name(name), facts.get(name, SheetFacts()))


def sheet_tops(data: bytes, file: str, most: int) -> Iterator[tuple[str, int, list[list[object]], Sequence[Range]]]:
    """Of every sheet its name, number of rows, first `most` rows, and merged ranges. Raises InputRefused where the workbook is incomplete, too large,
    protected, or none."""
    book, facts = _opened(data, file)
    for name in book.sheet_names:
        sheet, known = book.get_sheet_by_name(name), facts.get(name, SheetFacts())
        top = [list(cells) for _, cells in islice(sheet_rows(sheet, known), most)]
        yield name, sheet.total_height, top, _merged(sheet, known)


def _opened(data: bytes, file: str) -> tuple[CalamineWorkbook, dict[str, SheetFacts]]:
    """A workbook opened, and what is known of its sheets."""
    try:
        facts = FACTS[kind_of(data, file)](data, file)
        return CalamineWorkbook.from_filelike(io.BytesIO(data)), facts
    except PasswordError:
        raise _protected(file) from None
    except (CalamineError, ZipError, XmlError, zipfile.BadZipFile, expat.ExpatError, ElementTree.ParseError, OSError, ValueError, RuntimeError) as error:
        raise InputRefused(Problem(what=f"not a complete workbook ({error})", file=file,
                                   remedy="It may have been cut off while it was written or sent: save it again as .xlsx.")) from None


FACTS = {"xlsx": xlsx_facts, "ods": ods_facts, "xls": xls_facts}
"""Kind of workbook -> how its sheets are looked at before they are read."""


def kind_of(data: bytes, file: str) -> str:
    """Which kind of workbook the bytes are. Raises InputRefused where they are none, or one that is protected."""
    if data.startswith(COMPOUND_MARK):
        if ENCRYPTED in data:
            raise _protected(file)
        return "xls"
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = {name.lower() for name in archive.namelist()}
    except (zipfile.BadZipFile, ValueError, OSError, RuntimeError) as error:
        raise InputRefused(Problem(what=f"not a complete workbook ({error})", file=file,
                                   remedy="It may have been cut off while it was written or sent: save it again as .xlsx.")) from None
    if "xl/workbook.bin" in names:
        raise InputRefused(Problem(what="this is a binary workbook (.xlsb)", file=file, remedy="Save it again as .xlsx."))
    return "ods" if "content.xml" in names else "xlsx"


def _protected(file: str) -> InputRefused:
    return InputRefused(Problem(what="the workbook is protected by a password", file=file, remedy="Save it again without a password."))


def _wanted(book: CalamineWorkbook, sheets: Sequence[str], file: str) -> Sequence[str]:
    for name in sheets:
        if name not in book.sheet_names:
            raise InputRefused(Problem(what=f"there is no sheet '{name}'", file=file, wanted=" or ".join(f"'{known}'" for known in book.sheet_names),
                                       remedy="Mend sheets = [...] under [format] of its profile."))
    return sheets or book.sheet_names


def sheet_rows(sheet: CalamineSheet, facts: SheetFacts) -> NumberedRows:
    """Rows of a sheet from the first one on, numbered from 1; cells that hold an error are empty."""
    if sheet.start is None:
        return
    above, beside = sheet.start
    yield from ((number, []) for number in range(1, above + 1))
    wrong: dict[int, list[int]] = {}
    for row, column in facts.errors:
        wrong.setdefault(row, []).append(column)
    for row, cells in enumerate(sheet.iter_rows(), start=above):
        whole: list[object] = [None] * beside + list(cells)
        for column in wrong.get(row, ()):
            if column < len(whole):
                whole[column] = None
        yield row + 1, whole


def _merged(sheet: CalamineSheet, facts: SheetFacts) -> Sequence[Range]:
    return (sheet.merged_cell_ranges or []) if facts.merged is None else facts.merged


def _sheet(sheet: CalamineSheet, facts: SheetFacts, file: str, layout: Format) -> RawSheet:
    merged = _merged(sheet, facts)
    notes = list(_errors_told(facts, sheet.name, file))
    headed = joined_headings(sheet_rows(sheet, facts), merged, layout)
    rows = spread(headed, merged, layout, notes, sheet=sheet.name, file=file)
    raw = raw_sheet_of_rows(rows, sheet=sheet.name, file=file, layout=layout, notes=notes)
    return replace(raw, date_system=facts.date_system, unmerged=unmerged(raw.headings, merged, layout))


def _errors_told(facts: SheetFacts, sheet: str, file: str) -> Iterable[Problem]:
    """One note per column and error, with the first row and how often it stands there."""
    counts = Counter((column, text) for (_, column), text in facts.errors.items())
    for (column, text), count in sorted(counts.items()):
        row = min(row for (row, place), shown in facts.errors.items() if (place, shown) == (column, text)) + 1
        yield Problem(what=f"{count} {'cell holds' if count == 1 else 'cells hold'} an error of its formula and {'is' if count == 1 else 'are'} left empty",
                      found=text, file=file, sheet=sheet, row=row, column=letters(column + 1), remedy="Mend the formula, or write the value itself.")
