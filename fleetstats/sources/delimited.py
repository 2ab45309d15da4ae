"""Delimited text (CSV, TSV): every record with the line on which it begins, whatever stands in quotation marks."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.delimited_arrow import sheet_of_lines
from fleetstats.sources.encodings import decoded, find_encoding
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, raw_sheet_of_rows

LONGEST_LINE = 1 << 24
"""Bytes of a line that may be looked at: many times a full row of the longest cells; beyond it something else than records stands in the file."""

FEWEST_TELLING = 3
"""From as many headings on, lines that each hold a separator for all of them tell records from a text over several lines."""

LOOK = "Look for a quotation mark that is never closed."


def read_delimited(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The one sheet of a delimited file.

    Raises InputRefused for a wrong encoding, a cell or line without end, quotation marks open at the end, and headings that are not where they should be.
    """
    found = find_encoding(data, file, layout.encoding)
    refuse_endless_line(data, file)
    text = decoded(data, file, found, layout.encoding)
    notes = [found.told] if found.told else []
    as_it_is = found.codec == "utf-8" or (text.isascii() and len(text) == len(data))  # a mark or two bytes a sign would be taken for text
    straight = sheet_of_lines(data if as_it_is else text.encode("utf-8"), file, layout, notes)
    return [straight or sheet_of_records(text, file, layout, notes)]


def sheet_of_records(text: str, file: str, layout: Format, notes: list[Problem]) -> RawSheet:
    """The sheet of a delimited text, record by record. Raises InputRefused as `read_delimited`."""
    doubtful: list[Problem] = []
    rows = delimited_rows(text, file, layout, doubtful)
    return raw_sheet_of_rows(rows, sheet=None, file=file, layout=layout, doubtful=doubtful, notes=notes)


def refuse_endless_line(data: bytes, file: str) -> None:
    """Raises InputRefused where a line is so long that it cannot be a record; nothing of its size is copied."""
    start, row = 0, 1
    while len(data) - start > LONGEST_LINE:
        end = data.rfind(b"\n", start, start + LONGEST_LINE)
        if end < 0:
            raise InputRefused(Problem(what=f"a line is longer than {LONGEST_LINE:,} bytes", file=file, row=row, wanted="one record a line",
                                       remedy="Ask the sender for a whole file; this one holds something else than records."))
        row += data.count(b"\n", start, end + 1)
        start = end + 1


def delimited_rows(text: str, file: str, layout: Format, doubtful: list[Problem]) -> Iterator[tuple[int, Sequence[object]]]:
    """Every record with the line on which it begins; records in which a quotation mark swallows others are added to `doubtful`.

    Raises InputRefused where a cell is longer than the csv module's limit or the text ends inside quotation marks.
    """
    lines = _Lines(text)
    reader = csv.reader(lines, delimiter=layout.delimiter)
    width, begins = 0, 1
    try:
        for record in reader:
            seen = lines.taken()
            yield begins, record
            if begins == layout.header_row:
                width = len(record)
            odd = len(seen) > 1 or len(record) != width
            if odd and begins > layout.header_row and (problem := _swallowed(seen, layout.delimiter, width, file, begins)):
                doubtful.append(problem)
            begins = reader.line_num + 1
    except csv.Error as error:
        raise InputRefused(_not_csv(str(error), file, begins)) from None
    if is_cut_off(lines.last, layout.delimiter):
        raise InputRefused(_not_csv("the file ends inside quotation marks", file, begins - max(len(lines.last), 1)))


class _Lines:
    """The lines of a text, of which the csv reader takes some for each record."""

    def __init__(self, text: str) -> None:
        self.left = io.StringIO(text, newline="")
        self.since: list[str] = []
        self.last: list[str] = []

    def __iter__(self) -> _Lines:
        return self

    def __next__(self) -> str:
        line = next(self.left)
        self.since.append(line)
        return line

    def taken(self) -> list[str]:
        """The lines taken since the last call."""
        self.last, self.since = self.since, []
        return self.last


def is_cut_off(lines: Iterable[str], delimiter: str) -> bool:
    """Whether the record of these lines, the last one of the file, ends inside quotation marks: what follows has become part of one cell."""
    return "unexpected end" in (_strictly(lines, delimiter) or "")


def _strictly(lines: Iterable[str], delimiter: str) -> str | None:
    """What the csv module, read strictly, finds wrong with the quotation marks of some lines."""
    try:
        list(csv.reader(lines, delimiter=delimiter, strict=True))
    except csv.Error as error:
        return str(error)
    return None


def _swallowed(lines: list[str], delimiter: str, width: int, file: str, row: int) -> Problem | None:
    """Whether a quotation mark of these lines is closed only by the opening one of a later cell, so that cells or whole records became one.

    It shows where a closing mark is followed by text, and where the first line and the last one both hold a separator for every heading.
    """
    full = len(lines) > 1 and width >= FEWEST_TELLING and all(line.count(delimiter) == width - 1 for line in (lines[0], lines[-1]))
    if not full and "expected after" not in (_strictly(lines, delimiter) or ""):
        return None
    over = f" {len(lines) - 1} {'line' if len(lines) == 2 else 'lines'} further down" if len(lines) > 1 else ""
    return Problem(what=f"a quotation mark is closed only by a later one{over}", file=file, row=row, wanted="quotation marks in pairs around a cell",
                   remedy="Close the mark where its cell ends and double the marks within it; the row, and what it swallowed, was refused.")


def _not_csv(why: str, file: str, row: int) -> Problem:
    return Problem(what=f"not readable as CSV: {why}", file=file, row=row, remedy=LOOK)

