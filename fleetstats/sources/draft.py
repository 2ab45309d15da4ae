"""A first profile of a file from its own headings and values; what cannot be known is left open for a person."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.canonical import DELIMITERS
from fleetstats.sources.cell import is_missing
from fleetstats.sources.columns import fold, plain_text, shown
from fleetstats.sources.dates import NUMBERS
from fleetstats.sources.encodings import WORKBOOK_MARK, guess_encoding, is_utf8
from fleetstats.sources.evidence import TAXED, currency_seen, furniture_lines
from fleetstats.sources.guesses import guess_column, guess_table
from fleetstats.sources.money_columns import money_columns
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.readers import read_bytes, read_sheets
from fleetstats.sources.workbooks import open_workbook
from fleetstats.tables import INPUT_TABLES

SAMPLES = 3
MINUTES = re.compile(r"(?i)\bmin(?:s|utes)?\b")
FEW_VALUES = 12
HEADING_ROWS = 12
WIDE, WORDY = 0.7, 0.8
NAME = re.compile(r"[A-ZÀ-Þ][\w'’-]+(?: [A-ZÀ-Þ][\w'’.-]*){0,2}")
AMOUNT = re.compile(r"^[($£€A-Z\s-]*\d[\d .,'\u00a0]*[)$£€A-Z\s-]*$")


@dataclass(frozen=True, kw_only=True)
class DateCount:
    """How many dates can be read in one order only."""

    values: int
    only_dmy: int
    only_mdy: int

    @property
    def order(self) -> str | None:
        """The order that is proved; None where nothing proves one, or both are."""
        if self.only_dmy and not self.only_mdy:
            return "dmy"
        return "mdy" if self.only_mdy and not self.only_dmy else None


def draft_profile(path: str | Path) -> str:
    """A commented TOML profile of a file, to be finished by a person: the guesses stand as comments, open points as 'write here'.

    Raises InputRefused where the file is missing, empty or broken.
    """
    path = Path(path)
    data = read_bytes(path)
    layout = _layout(data, path.name)
    sheets = [sheet for sheet in read_sheets(data, path.name, layout) if sheet.headings]
    if not sheets:
        raise InputRefused(Problem(what="no sheet of this workbook holds anything", file=path.name, remedy="Name a filled workbook."))
    return "\n".join(_lines(path, layout, sheets)) + "\n"


def _layout(data: bytes, file: str) -> Format:
    """Kind, delimiter, encoding and heading row as they look."""
    if data.startswith(WORKBOOK_MARK) or file.lower().endswith(".xlsx"):
        book = open_workbook(data, file)
        rows = book.get_sheet_by_index(0).to_python(skip_empty_area=False)[:HEADING_ROWS]
        return Format(kind="xlsx", header_row=_heading_row([[cell for cell in row if cell != ""] for row in rows]))
    encoding = "utf-8" if is_utf8(data) else guess_encoding(data) or "cp1252"
    lines = data.decode(encoding, errors="replace").splitlines()[:HEADING_ROWS]
    delimiter = max(DELIMITERS, key=lambda mark: max(line.count(mark) for line in lines))
    rows = [[cell for cell in row if cell.strip()] for row in csv.reader(lines, delimiter=delimiter)]
    return Format(delimiter=delimiter, encoding=encoding, header_row=_heading_row(rows))


def _heading_row(rows: Sequence[Sequence[object]]) -> int:
    """The first row that is about as wide as the widest and whose cells are words, nearly all without a digit."""
    widest = max((len(row) for row in rows), default=1)
    for number, row in enumerate(rows, start=1):
        words = sum(not any(sign.isdigit() for sign in str(cell)) for cell in row)
        if len(row) >= WIDE * widest and words >= WORDY * len(row) > 0:
            return number
    return 1


def _lines(path: Path, layout: Format, sheets: list[RawSheet]) -> Iterator[str]:
    cells = pd.concat([sheet.cells for sheet in sheets])
    headings = list(dict.fromkeys(heading for sheet in sheets for heading in sheet.headings))
    table = guess_table(headings)
    yield f"# Draft of a profile for {path.name}. Guesses are comments; finish the lines marked 'write here', then put it into profiles/."
    yield f"files = [{json.dumps(path.name)}]"
    yield f'table = "{table}"        # guessed from the headings; one of: {", ".join(INPUT_TABLES)}'
    yield "mixed = false            # true if most rows are about other work"
    yield "reporting_days = 0       # days after which a row becomes known, where the file does not say"
    yield "\n[format]"
    yield f'kind = "{layout.kind}"'
    if layout.kind == "csv":
        yield f"delimiter = {json.dumps(layout.delimiter)}"
        yield f'encoding = "{(layout.encoding or "utf-8").replace("_", "-")}"        # guessed; look at words with accents'
    else:
        yield f"sheets = {json.dumps([sheet.sheet for sheet in sheets], ensure_ascii=False)}"
    yield f"header_row = {layout.header_row}"
    yield from _marks(cells)
    yield from _date_lines(cells, headings)
    if any(MINUTES.search(heading) for heading in headings):
        yield 'hours_unit = "minutes"   # guessed from a heading'
    if money_columns(INPUT_TABLES[table]):
        yield from _money_lines(cells, headings)
    yield "\n[columns]"
    yield from _column_lines(cells, headings, table)
    maker = next((name for name in ("shop", "bench") if name in INPUT_TABLES[table].columns), None)
    if maker and not any(guess_column(heading, table) == maker for heading in headings):
        yield "\n[constants]"
        yield f'# {maker} = {json.dumps(path.stem, ensure_ascii=False)}   # name of the {maker}{" as in shops.csv" if maker == "shop" else ""}: write here'
    yield from furniture_lines(cells)
    yield "\n# [coverage]            # first and last day whose work this file holds, if you know them: write here"
    yield "# from = 2016-01-01"
    yield "# to = 2025-12-31"


def _money_lines(cells: pd.DataFrame, headings: list[str]) -> Iterator[str]:
    seen = currency_seen(cells, headings)
    taxes = [shown(heading) for heading in headings if TAXED.search(heading)]
    yield "\n[money]"
    if seen:
        yield f'# currency = "..."       # seen: {"; ".join(seen)}: write here (ISO 4217)'
    else:
        yield '# currency = "..."       # not stated in the file: write here (ISO 4217)'
    evidence = f" (seen in headings: {', '.join(taxes)})" if taxes else ""
    yield f'# tax = "..."            # "net", or "gross" with tax_rate = 0.20{evidence}: write here'


def _marks(cells: pd.DataFrame) -> Iterator[str]:
    texts = [value.strip() for column in cells for value in cells[column].dropna().unique() if isinstance(value, str) and AMOUNT.match(value)]
    texts = [text for text in texts if not NUMBERS.fullmatch(text)]
    commas = sum(bool(re.search(r",\d{1,2}\D*$", text)) for text in texts)
    points = sum(bool(re.search(r"\.\d{1,2}\D*$", text)) for text in texts)
    mark = "," if commas > points else "."
    pointed = any(re.search(r"\d\.\d{3}(?:\D|$)", text) for text in texts)
    yield f'decimal = "{mark}"            # {commas} values end in a comma and one or two digits, {points} in a point'
    yield f'thousands = "{("." if pointed else " ") if mark == "," else ","}"'


def _date_lines(cells: pd.DataFrame, headings: list[str]) -> Iterator[str]:
    counts = {heading: count for heading in headings if (count := count_dates(cells[heading])).values}
    orders = {count.order for count in counts.values()} - {None}
    for heading, count in counts.items():
        yield f"# {heading}: {count.values} values; {count.only_dmy} can only be day-month-year, {count.only_mdy} can only be month-day-year"
    if len(orders) == 1:
        yield f'date_order = "{orders.pop()}"'
    elif counts:
        yield '# date_order = "..."     # not proved by the values: write here, "dmy" or "mdy"'


def count_dates(column: pd.Series) -> DateCount:
    """How many distinct values of a column are dates of two numbers and a year, and how many can be read in one order only."""
    found = [match for value in column.dropna().unique() if isinstance(value, str) and (match := NUMBERS.fullmatch(value.strip()))]
    first, second = [int(match[1]) for match in found], [int(match[2]) for match in found]
    return DateCount(values=len(found), only_dmy=sum(12 < one <= 31 and two <= 12 for one, two in zip(first, second, strict=True)),
                     only_mdy=sum(one <= 12 < two <= 31 for one, two in zip(first, second, strict=True)))


def _column_lines(cells: pd.DataFrame, headings: list[str], table: str) -> Iterator[str]:
    taken: set[str] = set()
    value_lines: list[str] = []
    for heading in headings:
        guess = guess_column(heading, table)
        guess = None if guess in taken else guess
        taken |= {guess} if guess else set()
        samples = ", ".join(f"'{_sample(value, guess)}'" for value in list(dict.fromkeys(cells[heading].dropna()))[:SAMPLES])
        target = f'"{guess}"' if guess else '"..."'
        yield f"{'' if guess else '# '}{json.dumps(heading, ensure_ascii=False)} = {target}        # e.g. {samples}"
        if guess in INPUT_TABLES[table].columns and INPUT_TABLES[table].columns[guess].values:
            value_lines += _value_lines(cells[heading], guess, INPUT_TABLES[table].columns[guess].values)
    yield from value_lines


def _sample(value: object, guess: str | None) -> str:
    """A value as it may be shown; names of persons are not, nor what looks like one in a column that nobody knows."""
    text = plain_text(value)
    person = guess in ("technician", "contact") or (guess is None and NAME.fullmatch(text) and not text.isupper())
    return "(a name)" if person else shown(text)


def _value_lines(column: pd.Series, name: str, allowed: tuple[str, ...]) -> Iterator[str]:
    met = list(dict.fromkeys(fold(value) for value in column.dropna() if not is_missing(value)))
    strange = [value for value in met if value not in allowed]
    strange = strange if name == "payer" else strange[:FEW_VALUES]
    if strange:
        yield f"\n[values.{name}]      # write here, each one of: {', '.join(allowed)}"
        yield from (f'# {json.dumps(shown(value), ensure_ascii=False)} = "..."' for value in strange)
