"""What the columns of a file hold, for a draft: distinct values with their counts, and how many of them a column of ours could read."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import pandas as pd

from fleetstats.sources.cell import distinct, is_missing
from fleetstats.sources.columns import Address, Readers, plain_text, typed_column
from fleetstats.sources.dates import DateCount, count_dates
from fleetstats.sources.profile import HELPER_COLUMNS, Format, Profile
from fleetstats.sources.raw_sheet import RawSheet, sure_rows
from fleetstats.sources.vehicle_marks import MARKS

MOST_DISTINCT = 2000
"""Distinct values of a column that are looked at, evenly over all that it holds."""

WORDS = re.compile(r"[^\W\d_]{2,}")


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One column as it stands in the file: heading, distinct values (none that means 'not recorded') with their counts in order of appearance, empty cells."""

    heading: str
    counts: dict[object, int] = field(repr=False)
    empty: int

    @property
    def filled(self) -> int:
        """Cells that hold a value."""
        return sum(self.counts.values())

    @property
    def looked_at(self) -> list[object]:
        """At most 2,000 of the distinct values, evenly over all."""
        values = list(self.counts)
        return values[::-(-len(values) // MOST_DISTINCT) or 1]


def columns_seen(sheets: Iterable[RawSheet]) -> dict[str, Seen]:
    """Every column of the sheets by heading, doubtful rows left out; columns of one heading on several sheets are taken together."""
    counts: dict[str, Counter[object]] = {}
    empty: Counter[str] = Counter()
    for sheet in sheets:
        cells = sure_rows(sheet)
        for heading in sheet.headings:
            codes, values = distinct(cells[heading])
            times = pd.Series(codes).value_counts().to_dict()
            said = counts.setdefault(heading, Counter())
            for place, value in enumerate(values):
                if is_missing(value):
                    empty[heading] += times.get(place, 0)
                else:
                    said[value] += times.get(place, 0)
            empty[heading] += times.get(-1, 0)
    return {heading: Seen(heading=heading, counts=dict(said), empty=empty[heading]) for heading, said in counts.items()}


@dataclass(frozen=True, kw_only=True)
class Readable:
    """How many cells a column of ours reads, of how many looked at, and the distinct values that it does not."""

    read: int
    of: int
    unread: tuple[object, ...] = field(default=(), repr=False)


def readable(seen: Seen, name: str, table: str, layout: Format, readers: Readers) -> Readable:
    """What a canonical column reads of the values looked at; texts read everything, and so do persons but where the values tell of works."""
    looked_at = seen.looked_at
    total = sum(seen.counts[value] for value in looked_at)
    if name == "technician" and tells_work([plain_text(value) for value in looked_at], readers):
        return Readable(read=0, of=total, unread=tuple(looked_at))
    if name in HELPER_COLUMNS and name not in MARKS:
        return Readable(read=total, of=total)
    profile = Profile(files=("draft",), table=table, format=layout, columns={seen.heading: name, f"{seen.heading} ": ""})
    column = typed_column(pd.Series(looked_at, dtype=object), name, profile, readers, Address(file="draft", sheet=None, heading=seen.heading, name=name))
    known = column.notna().tolist()
    unread = tuple(value for value, read in zip(looked_at, known, strict=True) if not read)
    return Readable(read=total - sum(seen.counts[value] for value in unread), of=total, unread=unread)


def looks_like(seen: Seen, layout: Format, readers: Readers) -> str:
    """In a word or two what the values look like: dates, money or numbers, a few words, texts, identifiers; empty where there are none."""
    for what, name in (("dates", "date_in"), ("amounts or numbers", "total_cost")):
        found = readable(seen, name, "visits", layout, readers)
        if found.of and found.read > 0.9 * found.of:
            return what
    texts = [plain_text(value) for value in seen.looked_at]
    if not texts:
        return "nothing"
    if tells_work(texts, readers):
        return "free text about findings and works"
    if sum(len(WORDS.findall(text)) > 2 for text in texts) > 0.5 * len(texts):
        return "free text"
    return f"{len(seen.counts)} different words" if len(seen.counts) <= 20 and seen.filled > 2 * len(seen.counts) else "identifiers or short texts"


def date_counts(columns: dict[str, Seen]) -> dict[str, DateCount]:
    """The columns that hold dates of two numbers and a year, with what they prove of the order."""
    return {heading: count for heading, seen in columns.items() if (count := count_dates(seen.counts)).values}


def tells_work(texts: Sequence[str], readers: Readers) -> bool:
    """Whether half of the texts or more speak of a refrigerator, or are sentences with a number in them: they name no persons."""
    read = readers.vocabulary.recognise(list(texts))
    telling = sum(bool(read.of(code).matches) or (len(WORDS.findall(text)) > 2 and any(sign.isdigit() for sign in text))
                  for code, text in zip(read.codes.tolist(), texts, strict=True))
    return telling > 0 and 2 * telling >= len(texts)
