"""What a SELECT gives, as a raw sheet: shared by SQLite files and servers."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any, Protocol

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.limits import LONGEST_TEXT, MOST_CELLS
from fleetstats.sources.masking import mask
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, raw_sheet_of_rows

LONGEST_SECONDS = 120
"""After this a query is ended: it most likely joins everything with everything."""

MOST_QUERY_CELLS = 4 * MOST_CELLS
FETCHED = 5_000


class Digest(Protocol):
    """What a fingerprint is taken with."""

    def update(self, data: bytes, /) -> None:
        """Take in some bytes."""


def sheet_of_query(columns: Sequence[str], rows: Iterable[Sequence[object]], file: str, layout: Format, digest: Digest | None = None) -> RawSheet:
    """The sheet of a query's result; row: number of the result's row from 1. Every row is also taken into the digest.

    Values that are no texts, numbers or dates are left empty, with a note per column. Raises InputRefused where the result is too large.
    """
    notes: list[Problem] = []
    headed = layout.model_copy(update={"header_row": 0})
    numbered = _numbered(columns, rows, file, digest, notes)
    return raw_sheet_of_rows(numbered, sheet=None, file=file, layout=headed, notes=notes)


def _numbered(columns: Sequence[str], rows: Iterable[Sequence[object]], file: str, digest: Digest | None,
              notes: list[Problem]) -> Iterator[tuple[int, Sequence[object]]]:
    binary: set[int] = set()
    yield 0, columns
    for number, row in enumerate(rows, start=1):
        if number * len(columns) > MOST_QUERY_CELLS:
            raise InputRefused(Problem(what=f"the query gives more than {MOST_QUERY_CELLS:,} cells", file=file,
                                       remedy="Select only the columns and years that are wanted."))
        cells = [plain_cell(value) for value in row]
        if digest is not None:
            digest.update(repr(cells).encode("utf-8", "surrogatepass"))
        for place, cell in enumerate(cells):
            if isinstance(cell, bytes):
                cells[place] = None
                if place not in binary:
                    binary.add(place)
                    notes.append(Problem(what="holds binary data, which is left empty", file=file, row=number, column=columns[place],
                                         remedy="Leave it out of the query, or cast it to text there."))
        yield number, cells


def plain_cell(value: Any) -> object:
    """A database's value as a text, number, date or bytes. A moment with a time zone becomes its text: which day
    it is of is the profile's to say (see `date_parser`)."""
    if isinstance(value, bytes | bytearray | memoryview):
        return bytes(value)
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        raise ValueError(f"a text is longer than {LONGEST_TEXT:,} signs")
    if value is None or isinstance(value, str | int | float | Decimal):
        return value
    if isinstance(value, dt.datetime):
        return value.isoformat(" ") if value.tzinfo else value
    if isinstance(value, dt.date):
        return value
    return json.dumps(value, default=str, ensure_ascii=False) if isinstance(value, list | dict | tuple) else str(value)


QUOTED = re.compile(r'(?<=: )"[^"]*"')
"""What a server quotes behind a colon is a value of a row, not a name of the query."""


def query_failed(why: str, file: str) -> InputRefused:
    """The refusal of a query that did not run to its end; a value that the server quotes is not repeated."""
    why = QUOTED.sub('"…"', mask(" ".join(why.split())))[:200]
    return InputRefused(Problem(what=f"the query was refused or failed: {why}", file=file, remedy="Mend query under [format] of its profile: one SELECT."))
