"""What a file lets slip of its money and its rows that are no record, for the comments of a draft."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections import Counter
from collections.abc import Iterator

import pandas as pd

from fleetstats.sources.amounts import SIGN, SIGNS
from fleetstats.sources.columns import plain_text, shown
from fleetstats.sources.dates import date_parser
from fleetstats.sources.profile import PAGES, TOTALS, Format
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.seen import Seen

AMOUNT = re.compile(r"^[^\d]{0,5}\d[\d .,'\u00a0]*[^\d]{0,5}$")
TAXED = re.compile(r"(?i)\b(?:vat|gst|hst|tax|tva|tps|tvq|mwst)\b")
NET = re.compile(r"(?i)\b(?:net|nett|netto|ht)\b")
GROSS = re.compile(r"(?i)\b(?:gross|brutto|ttc)\b")
LIKE_TOTAL = re.compile(r"(?i)^(?:(?:grand |sub-?|sous-)?totals?|(?:zwischen|gesamt)?summe|gesamt|somme)\b|^page \d+|^report\b|^end of\b|^printed\b"
                        r"|^carried forward|^brought forward")
MOST_SHOWN = 8
WORKED = ("date_in", "date_out", "opened_on", "received_on", "tested_on", "date", "started", "finished")
"""Columns whose days are days of work."""


def currency_seen(columns: dict[str, Seen]) -> list[str]:
    """Signs and codes of currencies in headings and in cells that hold an amount, with their count, the commonest first."""
    counts: Counter[str] = Counter()
    for heading, seen in columns.items():
        counts.update(f"{sign} in the heading '{shown(heading)}'" for sign in SIGN.findall(heading.lower()))
        for value in seen.looked_at:
            if isinstance(value, str) and AMOUNT.match(value.strip()):
                counts.update({f"{sign} in values": seen.counts[value] for sign in SIGN.findall(value.lower())})
    return [f"{_named(seen)}, {count} times" for seen, count in counts.most_common(3)]


def tax_stated(heading: str) -> str | None:
    """"net" or "gross" where the heading of an amount says so."""
    return "net" if NET.search(heading) else "gross" if GROSS.search(heading) else None


def currency_columns(columns: dict[str, Seen]) -> Iterator[str]:
    """The columns that name the currency of each row, with what they say and how often: a profile states one currency for all rows of its files."""
    for heading, seen in columns.items():
        said = {plain_text(value): count for value, count in seen.counts.items()}
        if said and all(SIGN.fullmatch(text.lower()) for text in said):
            told = ", ".join(f"{shown(text)} {count:,} times" for text, count in sorted(said.items(), key=lambda one: -one[1])[:MOST_SHOWN])
            yield f"the column {shown(heading)} says {told}{'' if len(said) == 1 else ', and a profile has one: give the rows of each a file of their own'}"


def days_seen(columns: dict[str, Seen], mapped: dict[str, str], layout: Format, of_cells: str | None) -> tuple[dt.date | None, dt.date | None, str]:
    """First and last day of work in the file and the headings they stand under; None where no day can be read."""
    days: list[dt.date] = []
    headings = []
    parse = date_parser(layout.date_order, of_cells=of_cells)
    for heading, name in mapped.items():
        if name in WORKED:
            met = [day for value in columns[heading].counts if isinstance(day := parse(value), dt.date)]
            headings += [shown(heading)] if met else []
            days += met
    return min(days, default=None), max(days, default=None), ", ".join(headings)


def _named(seen: str) -> str:
    sign, place = seen.split(" ", 1)
    return f"{sign if sign in SIGNS else sign.upper()} ({', '.join(SIGNS[sign])}) {place}" if sign in SIGNS else f"{sign.upper()} {place}"


def furniture_lines(sheets: list[RawSheet]) -> Iterator[str]:
    """A commented [furniture], with what was seen above the headings, and the values met that look like totals or pages."""
    met: dict[str, None] = {}
    for sheet in sheets:
        cells = sheet.cells.astype(object)
        first = cells.bfill(axis=1).iloc[:, 0].dropna().map(plain_text) if len(cells) else pd.Series(dtype=object)
        met |= dict.fromkeys(value for value in dict.fromkeys(first) if LIKE_TOTAL.match(value))
    titles, blank = sum(len(sheet.titles) for sheet in sheets), sum(len(sheet.blank) for sheet in sheets)
    seen = f"; seen: {', '.join(shown(value) for value in list(met)[:MOST_SHOWN])}" if met else ""
    above = (f"; {titles} {'row' if titles == 1 else 'rows'} above the headings" if titles else "") + (f"; {blank} blank" if blank else "")
    yield f"\n# [furniture]           # rows that are no record, by the first cell of the row that is not empty{seen}{above}"
    usual = [TOTALS, PAGES]
    further = dict.fromkeys(f"^{re.escape(found[0].lower())}" for value in met if (found := LIKE_TOTAL.match(value)) and not _matches(usual, value))
    told = "the usual ones, and some for what was seen: write here which hold" if further else "these are taken when nothing is written here"
    yield f"# first_cell = {json.dumps([*usual, *further])}   # regular expressions; {told}"


def _matches(patterns: list[str], value: str) -> bool:
    return any(re.search(pattern, value, re.IGNORECASE) for pattern in patterns)
