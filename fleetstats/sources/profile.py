"""A source profile: what one shop's files look like, as TOML, refused where it does not add up."""

from __future__ import annotations

import codecs
import datetime as dt
import difflib
import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Literal, get_args
from zoneinfo import available_timezones

from pydantic import ConfigDict, Field, field_validator, model_validator

from fleetstats.documents import Document, read_document
from fleetstats.sources.vehicle_marks import MARKS
from fleetstats.tables import INPUT_TABLES, Table

TEXT_MEANINGS = {
    "complaint_text": "what was complained of, in words; or one text for everything",
    "cause_text": "what the shop found", "correction_text": "what the shop did", "item_text": "group or item the order was booked under",
    "readings_text": "what was measured",
}
TEXT_COLUMNS = tuple(TEXT_MEANINGS)
"""Helper columns of free text: read through the vocabulary, kept only masked and joined as the note."""

HELPER_MEANINGS = TEXT_MEANINGS | {
    "contact": "a person or how to reach one; dropped", "vin": "number of the vehicle's maker, whole or its end, where vehicle_id is missing",
    "plate": "number plate, where vehicle_id is missing; kept keyed only",
}
HELPER_COLUMNS = (*TEXT_COLUMNS, "contact", *MARKS)
"""Columns that a profile of visits or bench tests may name beside the table's own; none is stored as it stands."""

OPEN = ("", "...")
"""What stands behind a heading of [columns] to which a person has given no column yet."""

OPEN_LINE = re.compile(r'#\s*("(?:[^"\\]|\\.)*")\s*=\s*"\.\.\."')

TEXT_TABLES = ("visits", "bench_tests")
"""Tables whose rows may carry free text."""


RENAMED = {"shop": "bench", "bench": "shop"}
"""Who did the work is a shop in most tables, and a bench in a log of bench tests."""


Kind = Literal["csv", "fixed", "xlsx", "xls", "ods", "json", "parquet", "sqlite", "postgresql"]
"""Kinds of files; each has its reader in `sources/readers.py`."""

WORKBOOKS = ("xlsx", "xls", "ods")
DATABASES = ("sqlite", "postgresql")
KEYS_OF_KINDS = {"sheets": WORKBOOKS, "heading_rows": WORKBOOKS, "fill_down": WORKBOOKS, "records": ("json",), "query": DATABASES}
"""Keys of [format] that mean something for some kinds only."""


def plain_headings(headings: Iterable[str]) -> tuple[str, ...]:
    """Headings as the readers give them, whatever blanks and breaks of a line stand within them."""
    return tuple(" ".join(heading.split()) for heading in headings)


class Format(Document):
    """How the file is written. Rows are counted as a person sees them, from 1."""

    kind: Kind = Field("csv", description=f"one of: {', '.join(get_args(Kind))}")
    delimiter: str = Field(",", min_length=1, max_length=1, description="csv: what separates the cells")
    encoding: str | None = Field(None, description="text files: any codec Python knows; without it a mark, UTF-8 or what can be told for sure is taken")
    positions: dict[str, tuple[int, int]] = Field(default_factory=dict, description="fixed: heading -> first and last place of its cell, counted from 1")
    continued: tuple[str, ...] = Field((), description="fixed: headings of texts that go on below; a line that fills nothing else is part of the one above")
    sheets: tuple[str, ...] = Field((), description="workbooks: the sheets to read; empty: all")
    header_row: int = Field(1, ge=0, description="row of the headings; 0, fixed only: there are none")
    heading_rows: int = Field(1, ge=1, le=4, description="workbooks: rows that make up the headings, joined from above; header_row is the first")
    fill_down: tuple[str, ...] = Field((), description="workbooks: headings of columns in which a merged cell stands for every row it spans")
    records: str = Field("", description='json: where the records stand, e.g. "orders"; a list within them, e.g. "orders.items", gives a row each')
    query: str | None = Field(None, description="sqlite, postgresql: the one SELECT whose rows are read")
    decimal: Literal[".", ","] = Field(".", description="mark before the cents")
    thousands: Literal["", ",", ".", " ", "'"] = Field(",", description="mark between thousands; a blank where decimal is a comma and nothing else is said")
    date_order: Literal["mdy", "dmy", "ymd"] | None = Field(None, description="without it only dates that can be read in one way are taken")
    date_system: Literal["1900", "1904"] | None = Field(None, description="what bare numbers of days are counted from; without it as a workbook itself says of "
                                                        "its numbers, and elsewhere, and in texts, they are left empty")
    time_zone: str | None = Field(None, description='whose days moments with a zone are of, e.g. "America/Denver"; without it one in UTC is left empty')
    hours_unit: Literal["hours", "minutes"] = Field("hours", description="unit of a bare number in labour_hours")
    hours_point: Literal["decimal", "minutes"] | None = Field(None, description="1.30 is 1.3 h or 1 h 30 min; without it such a value is left empty")

    @field_validator("fill_down")
    @classmethod
    def _plain_headings(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        return plain_headings(value)

    @field_validator("encoding")
    @classmethod
    def _known_codec(cls, value: str | None) -> str | None:
        try:
            codecs.lookup(value or "utf-8")
        except LookupError:
            raise ValueError("not an encoding Python knows; usual ones are utf-8, cp1252, cp850, utf-16") from None
        return value

    @field_validator("time_zone")
    @classmethod
    def _known_zone(cls, value: str | None) -> str | None:
        if value is not None and value not in available_timezones():
            near = difflib.get_close_matches(value, available_timezones(), n=1) or ["Europe/Berlin"]
            raise ValueError(f'not the name of a time zone, such as "{near[0]}"')
        return value

    @model_validator(mode="after")
    def _keys_of_the_kind(self) -> Format:
        for key, kinds in KEYS_OF_KINDS.items():
            if getattr(self, key) != type(self).model_fields[key].default and self.kind not in kinds:
                raise ValueError(f'{key} is for kind = {" or ".join(kinds)}, not for "{self.kind}"')
        if (self.kind in DATABASES) != bool(self.query and self.query.strip()):
            raise ValueError('kind = "sqlite" or "postgresql" needs query = "select ..."')
        return self

    @model_validator(mode="before")
    @classmethod
    def _thousands_of_decimal(cls, data: object) -> object:
        if isinstance(data, dict) and data.get("decimal") == "," and "thousands" not in data:
            return data | {"thousands": " "}
        return data

    @model_validator(mode="after")
    def _marks_differ(self) -> Format:
        if self.decimal == self.thousands:
            raise ValueError(f"decimal and thousands are both '{self.decimal}'")
        return self

    @model_validator(mode="after")
    def _places_add_up(self) -> Format:
        fixed = self.kind == "fixed"
        if fixed != bool(self.positions):
            raise ValueError('kind = "fixed" and [format.positions] go together, e.g. "Order" = [1, 8]')
        if not fixed and (self.header_row == 0 or self.continued):
            raise ValueError('header_row = 0 and continued are for kind = "fixed" only')
        end = 0
        for heading, (first, last) in sorted(self.positions.items(), key=lambda item: item[1]):
            if not end < first <= last:
                raise ValueError(f"the places {first} to {last} of '{heading}' are out of order or overlap others; they are counted from 1")
            end = last
        strange = [heading for heading in self.continued if heading not in self.positions]
        if strange:
            raise ValueError(f"continued names '{strange[0]}', which has no place in [format.positions]")
        return self


class Money(Document):
    """How the amounts of the file are stated."""

    currency: str | None = Field(None, pattern="^[A-Z]{3}$", description="ISO 4217 code")
    tax: Literal["net", "gross", "unknown"] = Field("unknown", description="whether the amounts hold recoverable tax; unknown: they are kept out")
    tax_rate: float | None = Field(None, ge=0, le=0.5, description="recoverable tax within gross amounts, share of the net amount")
    tax_column: str | None = Field(None, description="heading of the column that says of each row whether its amounts hold tax; instead of tax")
    tax_values: dict[str, Literal["net", "gross"]] = Field(default_factory=dict, description="what its cells say")

    @model_validator(mode="after")
    def _rate_with_gross(self) -> Money:
        if "gross" in (self.tax, *self.tax_values.values()) and self.tax_rate is None:
            raise ValueError('tax = "gross" needs a tax_rate, e.g. tax_rate = 0.20')
        if (self.tax_column is None) != (not self.tax_values) or (self.tax_column and self.tax != "unknown"):
            raise ValueError('tax_column goes with [money.tax_values], e.g. "V" = "gross", and without tax')
        return self


TOTALS = r"^(?:(?:grand |sub-?|sous-)?totals?|total général|somme|(?:zwischen|gesamt)?summe|gesamt)\b[\s:.\d]*$"
PAGES = r"^page \d+(?: ?(?:of|de|sur|/) ?\d+)?$"


class Furniture(Document):
    """Rows that are no record: titles, totals, page breaks. A cell that says nothing but 'total', 'sous-total 2018' or 'page 3' is one unless stated."""

    first_cell: tuple[str, ...] = Field((TOTALS, PAGES), description="regular expressions, case ignored, on the first cell that is not empty")
    empty: tuple[str, ...] = Field((), description="headings; a row in which any of these is empty is no record")
    after: tuple[str, ...] = Field((), description="regular expressions as in first_cell; that row and all below it are no records")

    @field_validator("empty")
    @classmethod
    def _plain_headings(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        return plain_headings(value)

    @field_validator("first_cell", "after")
    @classmethod
    def _compiles(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for pattern in value:
            try:
                re.compile(pattern)
            except re.error as error:
                raise ValueError(f"'{pattern}' is not a regular expression: {error}") from None
        return value


class Server(Document):
    """Where a database server is reached; its password stands in the environment only."""

    host: str = Field(min_length=1, description="name or address of the server")
    port: int = Field(5432, ge=1, le=65535, description="its port")
    database: str = Field(min_length=1, description="name of the database")
    user: str = Field(min_length=1, description="who asks; one that may only read")


class Coverage(Document):
    """First and last day whose work the files hold."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    first: dt.date | None = Field(None, alias="from", description="first day whose work the files hold")
    last: dt.date | None = Field(None, alias="to", description="last one")

    @model_validator(mode="after")
    def _in_order(self) -> Coverage:
        if self.first and self.last and self.last < self.first:
            raise ValueError(f"to = {self.last} lies before from = {self.first}")
        return self


class Corrections(Document):
    """Profiles whose rows the rows of these files replace, document by document."""

    of: tuple[str, ...] = Field((), description="names of the profiles whose rows these replace, document by document")


OUTSIDE = re.compile(r"^$|^/|^~|\\|:|(?:^|/)\.\.(?:/|$)")
"""Patterns of files that are no names within a folder: absolute or remote ones, drives, and ways upwards."""


class Profile(Document):
    """What the files of one source look like and which canonical table their rows fill."""

    files: tuple[str, ...] = Field((), description="patterns within raw/; none where a server is asked")
    server: Server | None = Field(None, description="the database server that is asked; without it the address comes from FLEETSTATS_DATABASE_URL")
    table: str = Field("visits", description="canonical table that the rows fill")
    mixed: bool = Field(False, description="other work stands in it too; rows that are not about the refrigerator are set aside")
    reporting_days: int = Field(0, ge=0, description="a row became known this many days after its last date, where the file does not say")
    format: Format = Format()
    money: Money = Money()
    columns: dict[str, str] = Field(description="heading in the file -> canonical or helper column")
    constants: dict[str, str | float | bool | dt.date] = Field(default_factory=dict, description="canonical column -> its value in every row")
    values: dict[str, dict[str, str | float | bool]] = Field(default_factory=dict, description="per canonical column: text in the file -> canonical value")
    furniture: Furniture = Furniture()
    coverage: Coverage = Coverage()
    corrections: Corrections = Corrections()

    @field_validator("files")
    @classmethod
    def _within_raw(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for pattern in value:
            if OUTSIDE.search(pattern) or not pattern.isprintable():
                raise ValueError(f"{pattern!r} leads out of raw/; write names or patterns of files within it, e.g. \"harbour/*.csv\"")
        return value

    @model_validator(mode="after")
    def _files_or_server(self) -> Profile:
        asked = self.format.kind == "postgresql"
        if asked and self.files:
            raise ValueError('kind = "postgresql" asks a server: leave files out')
        if not asked and not self.files:
            raise ValueError('files = ["..."] is missing: name the files within raw/')
        if not asked and self.server:
            raise ValueError('[server] goes with kind = "postgresql"')
        return self

    @field_validator("table")
    @classmethod
    def _known_table(cls, value: str) -> str:
        if value not in INPUT_TABLES:
            raise ValueError(f"not a table that files fill{_nearest(value, INPUT_TABLES)}")
        return value

    @model_validator(mode="after")
    def _known_columns(self) -> Profile:
        known = [*self.canonical.columns, *(HELPER_COLUMNS if self.table in TEXT_TABLES else ())]
        for place, names in (("columns", self.columns.values()), ("constants", self.constants), ("values", self.values)):
            for name in names:
                if name not in known and not (place == "columns" and name in OPEN):
                    raise ValueError(f"[{place}] names '{name}', which is no column of {self.table}{_nearest(name, known)}")
        single = [name for name in self.columns.values() if name not in (*HELPER_COLUMNS, *OPEN)]
        twice = [name for name in single if single.count(name) > 1 or name in self.constants]
        if twice:
            raise ValueError(f"two sources are given for the column '{twice[0]}'")
        return self

    @property
    def unassigned(self) -> list[str]:
        """Headings to which no column has been given yet."""
        return [heading for heading, name in self.columns.items() if name in OPEN]

    @property
    def of_own_headings(self) -> bool:
        """Whether the headings are the canonical columns themselves: such a file has no profile that a person could mend."""
        return all(heading == name for heading, name in self.columns.items())

    @property
    def canonical(self) -> Table:
        """The canonical table that the rows fill."""
        return INPUT_TABLES[self.table]


def profile_keys() -> list[tuple[str, str, str]]:
    """Every key of a profile: its section (empty: at the top), its name, and what it means."""
    sections: dict[str, type[Document]] = {"": Profile, "server": Server, "format": Format, "money": Money, "furniture": Furniture, "coverage": Coverage,
                                           "corrections": Corrections}
    return [(section, field.alias or name, field.description or "") for section, model in sections.items() for name, field in model.model_fields.items()
            if section or name not in sections]


def _nearest(name: str, known: object) -> str:
    if name in RENAMED and RENAMED[name] in list(known):  # type: ignore[call-overload]
        return f'. The column for it is "{RENAMED[name]}"'
    near = difflib.get_close_matches(name, list(known), n=1)  # type: ignore[call-overload]
    return f'. The nearest known one is "{near[0]}"' if near else f". Known: {', '.join(list(known))}"  # type: ignore[call-overload]


def load_profiles(folder: Path) -> dict[str, Profile]:
    """Every profile of a folder by name (the file's stem), in order of name; none where there is no folder.

    Raises InputRefused for a profile that is not TOML or does not add up, with every fault of it.
    """
    paths = sorted(folder.glob("*.toml")) if folder.is_dir() else []
    return {path.stem: load_profile(path) for path in paths}


def load_profile(path: Path) -> Profile:
    """One profile. Raises InputRefused where it is missing, not TOML, or does not add up, with every fault of it."""
    return _with_open_lines(read_document(path, Profile), path)


def _with_open_lines(profile: Profile, path: Path) -> Profile:
    """The profile with the headings that a draft left open as comments in [columns]."""
    section = re.search(r"(?ms)^\[columns\](.*?)(?=^\[|\Z)", path.read_text(encoding="utf-8"))
    marks = [_unquoted(mark[1]) for line in (section[1] if section else "").splitlines() if (mark := OPEN_LINE.match(line))]
    return profile.model_copy(update={"columns": profile.columns | {heading: "" for heading in marks if heading not in profile.columns}}) if marks else profile


def _unquoted(text: str) -> str:
    """A quoted heading as TOML reads it; what TOML cannot read, without its quotation marks."""
    try:
        return str(tomllib.loads(f"heading = {text}")["heading"])
    except tomllib.TOMLDecodeError:
        return text[1:-1]
