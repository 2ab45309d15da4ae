"""Workbooks: opened whole or refused, their sheets as numbered rows."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator, Sequence

from python_calamine import CalamineError, CalamineWorkbook, ZipError

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, raw_sheet_of_rows

EXTENT = re.compile(rb'<dimension ref="(?:[A-Z]+\d+:)?([A-Z]+)(\d+)"')
MOST_CELLS = 50_000_000
"""Cells of a sheet from its first to its last filled one; the reader holds all of them at once."""


def read_workbook(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The sheets of a workbook that its profile names, or all. Raises InputRefused as `workbook_rows`, and for headings that are not where they should be."""
    return [raw_sheet_of_rows(rows, sheet=name, file=file, layout=layout) for name, rows in workbook_rows(data, file, layout.sheets)]


def workbook_rows(data: bytes, file: str, sheets: Sequence[str] = ()) -> Iterator[tuple[str, Iterator[tuple[int, Sequence[object]]]]]:
    """Name and numbered rows of the sheets named, or of all. Raises InputRefused for a broken workbook or an unknown sheet."""
    book = open_workbook(data, file)
    for name in sheets:
        if name not in book.sheet_names:
            raise InputRefused(Problem(what=f"there is no sheet '{name}'", file=file, wanted=" or ".join(f"'{known}'" for known in book.sheet_names),
                                       remedy="Mend sheets = [...] under [format] of its profile."))
    for name in sheets or book.sheet_names:
        rows = book.get_sheet_by_name(name).to_python(skip_empty_area=False)
        yield name, iter([(number, row) for number, row in enumerate(rows, start=1)])


def open_workbook(data: bytes, file: str) -> CalamineWorkbook:
    """A workbook opened. Raises InputRefused where it is incomplete or no workbook."""
    try:
        _refuse_too_far(data, file)
        return CalamineWorkbook.from_filelike(io.BytesIO(data))
    except (CalamineError, ZipError, zipfile.BadZipFile, OSError, ValueError) as error:
        raise InputRefused(Problem(what=f"not a complete workbook ({error})", file=file,
                                   remedy="It may have been cut off while it was written or sent: save it again as .xlsx.")) from None


def _refuse_too_far(data: bytes, file: str) -> None:
    """Raises InputRefused where a sheet reaches so far out that it cannot be held: one stray cell in a far corner does that."""
    with zipfile.ZipFile(io.BytesIO(data)) as parts:
        for name in parts.namelist():
            found = EXTENT.search(parts.open(name).read(4096)) if name.startswith("xl/worksheets/") and name.endswith(".xml") else None
            if found and _column(found[1]) * int(found[2]) > MOST_CELLS:
                last = (found[1] + found[2]).decode()
                raise InputRefused(Problem(what=f"a sheet reaches as far as cell {last}", file=file, wanted=f"at most {MOST_CELLS:,} cells",
                                           remedy="Delete the stray cells below and beside the rows, then save it again."))


def _column(letters: bytes) -> int:
    """Number of a column from its letters: A is 1, AA is 27."""
    number = 0
    for letter in letters:
        number = 26 * number + letter - ord("A") + 1
    return number
