"""Readers: a CSV file or a workbook as raw sheets, every row with the number a person sees."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pandas as pd
from charset_normalizer import from_bytes

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.profile import Format
from fleetstats.sources.workbooks import workbook_rows

LIKELY_ENCODINGS = ["utf_8", "utf_16", "cp1252", "cp850"]
WORKBOOK_MARK = b"PK\x03\x04"


@dataclass(frozen=True, kw_only=True)
class RawSheet:
    """The cells of one sheet (or of one CSV file), untouched but for blanks at their ends.

    headings: text of the heading row. cells: one column per heading, object values (text, number, date; None where empty),
    index: row as a person counts, from 1. blank: numbers of rows without any cell. titles: rows above the headings.
    overlong: rows with something beyond the last heading, whose cells may have slipped.
    """

    sheet: str | None
    headings: tuple[str, ...]
    cells: pd.DataFrame = field(repr=False)
    blank: tuple[int, ...]
    titles: tuple[int, ...]
    overlong: tuple[int, ...]

    @property
    def rows_read(self) -> int:
        """Rows of the sheet, headings left out."""
        return len(self.cells) + len(self.blank) + len(self.titles)


def read_bytes(path: Path) -> bytes:
    """The bytes of a file. Raises InputRefused where it is missing, a folder, or empty."""
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputRefused(Problem(what="the file does not exist", file=path.name, remedy="Name a file that is there.")) from None
    except (IsADirectoryError, PermissionError) as error:
        raise InputRefused(Problem(what=f"cannot be read ({error.strerror})", file=path.name, remedy="Name a file that may be read.")) from None
    if not data.strip():
        raise InputRefused(Problem(what="the file is empty", file=path.name, remedy="Export it again, or take it out of raw/."))
    return data


def read_sheets(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The raw sheets of a file as its profile describes it.

    Raises InputRefused for a wrong kind, a wrong encoding, a broken workbook, an unknown sheet, or headings that are not where they should be.
    """
    if layout.kind == "xlsx":
        return [_raw(rows, name, file, layout.header_row) for name, rows in workbook_rows(data, file, layout.sheets)]
    return [_raw(csv_rows(data, file, layout), None, file, layout.header_row)]


def csv_rows(data: bytes, file: str, layout: Format) -> Iterator[tuple[int, Sequence[object]]]:
    """Every record of a CSV file with the line on which it begins."""
    text = decode(data, file, layout.encoding)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=layout.delimiter)
    last = begins = 1
    try:
        for record in reader:
            yield begins, record
            last, begins = begins, reader.line_num + 1
    except csv.Error as error:
        raise InputRefused(_not_csv(str(error), file, begins)) from None
    if _is_cut_off(text, last, layout.delimiter):
        raise InputRefused(_not_csv("the file ends inside quotation marks", file, last))


def _is_cut_off(text: str, line: int, delimiter: str) -> bool:
    """Whether the record that begins on `line`, the last one of the file, ends inside quotation marks: what follows has become part of one cell."""
    record = io.StringIO(text, newline="").readlines()[line - 1:]
    try:
        list(csv.reader(record, delimiter=delimiter, strict=True))
    except csv.Error as error:
        return "unexpected end" in str(error)
    return False


def _not_csv(why: str, file: str, row: int) -> Problem:
    return Problem(what=f"not readable as CSV: {why}", file=file, row=row, remedy="Look for a quotation mark that is never closed.")


def decode(data: bytes, file: str, encoding: str) -> str:
    """The bytes as text. Raises InputRefused where they are not in that encoding, naming the line and a likely encoding."""
    if data.startswith(WORKBOOK_MARK):
        raise InputRefused(Problem(what="this is a workbook, not a CSV file", file=file, remedy='Set kind = "xlsx" under [format] of its profile.'))
    codec = "utf-8-sig" if encoding.lower().replace("_", "-") in ("utf-8", "utf8") else encoding
    try:
        text = data.decode(codec)
    except UnicodeDecodeError as error:
        raise InputRefused(_wrong_encoding(data, file, encoding, error.start)) from None
    if "\0" in text:
        place = text.index("\0")
        remedy = f"{_encoding_hint(data, encoding)} under [format] of its profile, or ask the sender for a whole file."
        raise InputRefused(Problem(what="a sign without meaning (NUL) stands in the text", file=file, row=text[:place].count("\n") + 1, remedy=remedy))
    if codec != "utf-8-sig" and not data.isascii() and is_utf8(data):
        # Letters with accents form valid UTF-8 sequences by chance only; reading them in another encoding would garble them in silence.
        raise InputRefused(Problem(what=f"the file is UTF-8, not {encoding}", file=file, remedy='Set encoding = "utf-8" under [format] of its profile.'))
    return text


def is_utf8(data: bytes) -> bool:
    """Whether the bytes are valid UTF-8."""
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _wrong_encoding(data: bytes, file: str, encoding: str, position: int) -> Problem:
    return Problem(what=f"not {encoding} text at byte {position + 1}", file=file, row=data[:position].count(b"\n") + 1,
                   wanted=f"text in {encoding}", remedy=f"{_encoding_hint(data, encoding)} under [format] of its profile.")


def _encoding_hint(data: bytes, encoding: str) -> str:
    guess = guess_encoding(data)
    known = guess is not None and codecs.lookup(guess) != codecs.lookup(encoding)
    return f'It looks like {guess}: set encoding = "{guess}"' if known else "Ask the sender for its encoding and set encoding"


def guess_encoding(data: bytes) -> str | None:
    """The likely encoding of a text among the four usual ones; None where none fits."""
    best = from_bytes(data[:65536], cp_isolation=LIKELY_ENCODINGS).best()
    return best.encoding.replace("_", "-") if best else None


def _raw(numbered: Iterator[tuple[int, Sequence[object]]], sheet: str | None, file: str, header_row: int) -> RawSheet:
    titles: list[int] = []
    headings: list[str] = []
    blank: list[int] = []
    numbers: list[int] = []
    records: list[list[object]] = []
    overlong: list[int] = []
    for number, row in numbered:
        cells = [_clean(cell) for cell in row]
        if number < header_row:
            titles.append(number)
        elif not headings:
            headings = _headings(cells, number, header_row, file, sheet)
        elif not any(cell is not None for cell in cells):
            blank.append(number)
        else:
            numbers.append(number)
            records.append(cells[:len(headings)] + [None] * (len(headings) - len(cells)))
            overlong += [number] if any(cell is not None for cell in cells[len(headings):]) else []
    if not headings and titles:
        raise InputRefused(Problem(what=f"there is no row {header_row} with headings", file=file, sheet=sheet, row=header_row,
                                   remedy="Mend header_row under [format] of its profile."))
    table = pd.DataFrame(records, index=pd.Index(numbers, dtype="int64"), columns=headings or None, dtype=object)
    return RawSheet(sheet=sheet, headings=tuple(headings), cells=table, blank=tuple(blank), titles=tuple(titles), overlong=tuple(overlong))


def _clean(cell: object) -> object:
    if isinstance(cell, str):
        return cell.strip().replace("\u00a0", " ").replace("\u202f", " ") or None
    return cell


def _headings(cells: list[object], number: int, header_row: int, file: str, sheet: str | None) -> list[str]:
    names = [" ".join(str(cell).split()) if cell is not None else "" for cell in cells]
    while names and not names[-1]:
        names.pop()
    if number != header_row or not names:
        raise InputRefused(Problem(what=f"row {header_row} holds no headings", file=file, sheet=sheet, row=header_row,
                                   remedy="Mend header_row under [format] of its profile."))
    seen: dict[str, int] = {}
    unique = []
    for place, name in enumerate(names, start=1):
        name = name or f"column {place}"
        seen[name] = seen.get(name, 0) + 1
        unique.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return unique
