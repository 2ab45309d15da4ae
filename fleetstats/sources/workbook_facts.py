"""What is known of each sheet of a workbook before its values are read: how far it reaches, which cells hold an error, which are merged, how it counts days."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from xml.etree import ElementTree
from xml.parsers import expat

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.limits import LONGEST_TEXT, MOST_CELLS, Swelling, member_chunks

CELL = re.compile(rb"""\sr\s*=\s*["']([A-Za-z]+)(\d+)["']""")
ERROR = re.compile(rb"""<(?:\w+:)?c\s([^>]*\bt\s*=\s*["']e["'][^>]*)>(?:(?!</(?:\w+:)?c>).)*?<(?:\w+:)?v>([^<]*)""", re.DOTALL)
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
TABLE, OFFICE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0", "urn:oasis:names:tc:opendocument:xmlns:office:1.0"
EXTENDED = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"
TEXT = "urn:oasis:names:tc:opendocument:xmlns:text:1.0"
NULL_DATES = {"1899-12-30": "1900", "1904-01-01": "1904"}
"""What an ODS says that number 0 of a day is -> the date system; from the first of March 1900 on the two ways of counting from 1900 agree."""

Range = tuple[tuple[int, int], tuple[int, int]]
"""First and last (row, column) of merged cells, from 0."""


@dataclass
class SheetFacts:
    """rows, columns: number of the last ones that hold something, from 1. errors: (row, column) from 0 -> what stands there, e.g. '#N/A'.
    merged: ranges of merged cells, None where the workbook itself must be asked. date_system: what numbers of days are counted from, "1900" or "1904".
    """

    rows: int = 0
    columns: int = 0
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    merged: list[Range] | None = None
    date_system: str | None = None

    def reach(self, row: int, column: int, file: str) -> None:
        """Take note of a filled cell, from 1. Raises InputRefused where the sheet becomes too large to be held: one stray cell in a far corner does that."""
        self.rows, self.columns = max(self.rows, row), max(self.columns, column)
        if self.rows * self.columns > MOST_CELLS:
            last = f"{letters(self.columns)}{self.rows}"
            raise InputRefused(Problem(what=f"a sheet reaches as far as cell {last}", file=file, wanted=f"at most {MOST_CELLS:,} cells",
                                       remedy="Delete the stray cells below and beside the rows, then save it again; or save its sheets as CSV."))


def letters(column: int) -> str:
    """The name of a column from its number: 1 is A, 27 is AA."""
    name = ""
    while column:
        column, place = divmod(column - 1, 26)
        name = chr(ord("A") + place) + name
    return name


def column_number(name: str) -> int:
    """Number of a column from its letters: A is 1, AA is 27."""
    number = 0
    for letter in name.upper():
        number = 26 * number + ord(letter) - ord("A") + 1
    return number


def xlsx_facts(data: bytes, file: str) -> dict[str, SheetFacts]:
    """Facts of every sheet by name; every part is unpacked once, piece by piece.

    Raises InputRefused where it grows too much, reaches too far, or declares entities; zipfile.BadZipFile, ElementTree.ParseError where it is broken.
    """
    parts: dict[str, SheetFacts] = {}
    kept: dict[str, bytes] = {}
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        members = [member for member in archive.infolist() if not member.is_dir()]
    swelling = Swelling(len(data), file)
    for member in members:
        pieces = whole_tags(member_chunks(data, member, swelling), file)
        if member.filename.lower() in ("xl/workbook.xml", "xl/_rels/workbook.xml.rels"):
            kept[member.filename.lower()] = b"".join(pieces)
            continue
        facts = parts[member.filename.lower()] = SheetFacts()
        for piece in pieces if member.filename.lower().endswith(".xml") else member_only(pieces):
            _look(piece, facts, file, strings=member.filename.lower().endswith("sharedstrings.xml"))
    system = _date_system(kept)
    return {name: replace(parts.get(part, SheetFacts()), date_system=system) for name, part in _sheet_parts(kept).items()}


def member_only(pieces: Iterator[bytes]) -> Iterator[bytes]:
    """Nothing, after all pieces were unpacked and counted."""
    for _ in pieces:
        pass
    yield from ()


def whole_tags(chunks: Iterator[bytes], file: str) -> Iterator[bytes]:
    """The chunks cut before a tag, so that none is torn. Raises InputRefused for a text without end and for declared entities."""
    left = b""
    for chunk in chunks:
        left += chunk
        if b"<!DOCTYPE" in left or b"<!ENTITY" in left:
            raise InputRefused(Problem(what="it declares entities, which no spreadsheet program writes", file=file, remedy="Save it again as .xlsx."))
        cut = left.rfind(b"<c ") if b"<c " in left else left.rfind(b"<")
        if cut > 0:
            yield left[:cut]
            left = left[cut:]
        if len(left) > LONGEST_TEXT + len(chunk):
            raise InputRefused(Problem(what=f"a cell or part without end: more than {LONGEST_TEXT:,} bytes", file=file,
                                       remedy="Look at where it comes from; spreadsheet programs end a cell at 32,767 signs."))
    yield left


def _look(piece: bytes, facts: SheetFacts, file: str, *, strings: bool) -> None:
    if strings:
        return
    reached = set(CELL.findall(piece))
    if reached:
        facts.reach(max(int(row) for _, row in reached), max(column_number(name.decode()) for name in {name for name, _ in reached}), file)
    if b'"e"' in piece or b"'e'" in piece:
        for attributes, shown in ERROR.findall(piece):
            place = CELL.search(b" " + attributes)
            if place:
                facts.errors[int(place[2]) - 1, column_number(place[1].decode()) - 1] = shown.decode("utf-8", "replace")[:20]


def _date_system(kept: dict[str, bytes]) -> str | None:
    """What the workbook counts days from: 1904 where its properties say so (ECMA-376 / ISO/IEC 29500-1, section 18.2.28, date1904)."""
    book = kept.get("xl/workbook.xml")
    if book is None:
        return None
    said = next((entry.get("date1904", "0") for entry in ElementTree.fromstring(book) if entry.tag.rpartition("}")[2] == "workbookPr"), "0")
    return "1904" if said.lower() in ("1", "true", "on") else "1900"


def _sheet_parts(kept: dict[str, bytes]) -> dict[str, str]:
    """Name of a sheet -> the part of the archive that holds it."""
    book, relations = kept.get("xl/workbook.xml"), kept.get("xl/_rels/workbook.xml.rels")
    if book is None or relations is None:
        return {}
    targets = {entry.get("Id"): entry.get("Target", "") for entry in ElementTree.fromstring(relations)}
    sheets = [entry for entry in ElementTree.fromstring(book).iter() if entry.tag.rpartition("}")[2] == "sheet"]
    found = {}
    for entry in sheets:
        target = targets.get(entry.get(RELATION)) or ""
        found[entry.get("name", "")] = (target[1:] if target.startswith("/") else f"xl/{target}").lower()
    return found


def ods_facts(data: bytes, file: str) -> dict[str, SheetFacts]:
    """Facts of every sheet by name. Raises as `xlsx_facts`, and expat.ExpatError where it is broken."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        content = next((member for member in archive.infolist() if member.filename == "content.xml"), None)
    if content is None:
        raise zipfile.BadZipFile("it has no content.xml")
    scan = _OdsScan(file)
    for piece in whole_tags(member_chunks(data, content, Swelling(len(data), file)), file):
        scan.parser.Parse(piece, False)
    scan.parser.Parse(b"", True)
    return {name: replace(facts, date_system=scan.date_system) for name, facts in scan.sheets.items()}


class _OdsScan:
    """Follows the tags of an ODS sheet and counts its rows and columns with all repetitions."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.sheets: dict[str, SheetFacts] = {}
        self.facts = SheetFacts()
        self.date_system: str | None = "1900"
        self.row = self.column = 0
        self.repeated = 1
        self.last = (0, 0, 1)
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """A tag opens."""
        if tag == f"{TABLE} table":
            self.facts = self.sheets.setdefault(attributes.get(f"{TABLE} name", ""), SheetFacts(merged=[]))
            self.row = 0
        elif tag == f"{TABLE} table-row":
            self.repeated, self.column = int(attributes.get(f"{TABLE} number-rows-repeated", 1)), 0
        elif tag in (f"{TABLE} table-cell", f"{TABLE} covered-table-cell"):
            self._cell(attributes)
        elif tag == f"{TEXT} p":
            self._filled()
        elif tag == f"{TABLE} null-date":
            self.date_system = NULL_DATES.get(attributes.get(f"{TABLE} date-value", "1899-12-30"))

    def end(self, tag: str) -> None:
        """A tag closes."""
        if tag == f"{TABLE} table-row":
            self.row += self.repeated

    def _cell(self, attributes: dict[str, str]) -> None:
        times = int(attributes.get(f"{TABLE} number-columns-repeated", 1))
        self.last = (self.row, self.column, times)
        self.column += times
        down, right = int(attributes.get(f"{TABLE} number-rows-spanned", 1)), int(attributes.get(f"{TABLE} number-columns-spanned", 1))
        if self.facts.merged is not None and (down > 1 or right > 1):
            self.facts.merged.append(((self.row, self.last[1]), (self.row + down - 1, self.last[1] + right - 1)))
        if f"{OFFICE} value-type" in attributes:
            self._filled()
        if attributes.get(f"{EXTENDED} value-type") == "error":
            self.facts.errors |= {(self.row + below, self.last[1] + beside): "an error" for below in range(self.repeated) for beside in range(times)}

    def _filled(self) -> None:
        row, column, times = self.last
        self.facts.reach(row + self.repeated, column + times, self.file)
