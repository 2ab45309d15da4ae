"""What a file lets slip of its money and its rows that are no record, for the comments of a draft."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator

import pandas as pd

from fleetstats.sources.amounts import SIGN, SIGNS
from fleetstats.sources.columns import plain_text, shown
from fleetstats.sources.profile import PAGES, TOTALS

AMOUNT = re.compile(r"^[^\d]{0,5}\d[\d .,'\u00a0]*[^\d]{0,5}$")
TAXED = re.compile(r"(?i)\b(?:vat|gst|hst|tax|tva|tps|tvq|mwst)\b")
LIKE_TOTAL = re.compile(r"(?i)^(?:grand |sub-?|sous-)?totals?\b|^page \d+|^report\b|^end of\b|^printed\b|^carried forward|^brought forward|^summe\b")
MOST_SHOWN = 8


def currency_seen(cells: pd.DataFrame, headings: list[str]) -> list[str]:
    """Signs and codes of currencies in headings and in cells that hold an amount, with their count, the commonest first."""
    counts: Counter[str] = Counter()
    for heading in headings:
        counts.update(f"{sign} in the heading '{shown(heading)}'" for sign in SIGN.findall(heading.lower()))
    for column in cells:
        texts = cells[column].dropna()
        amounts = texts[texts.map(lambda value: isinstance(value, str) and AMOUNT.match(value.strip()) is not None).astype(bool)]
        for text, count in amounts.value_counts().items():
            counts.update({f"{sign} in values" : int(count) for sign in SIGN.findall(str(text).lower())})
    return [f"{_named(seen)}, {count} times" for seen, count in counts.most_common(3)]


def _named(seen: str) -> str:
    sign, place = seen.split(" ", 1)
    return f"{sign if sign in SIGNS else sign.upper()} ({', '.join(SIGNS[sign])}) {place}" if sign in SIGNS else f"{sign.upper()} {place}"


def furniture_lines(cells: pd.DataFrame) -> Iterator[str]:
    """A commented [furniture], with the values met that look like totals or pages."""
    first = cells.bfill(axis=1).iloc[:, 0].dropna().map(plain_text) if len(cells) else pd.Series(dtype=object)
    met = [value for value in dict.fromkeys(first) if LIKE_TOTAL.match(value)][:MOST_SHOWN]
    seen = f"; seen: {', '.join(shown(value) for value in met)}" if met else ""
    yield f"\n# [furniture]           # rows that are no record, by the first cell of the row that is not empty{seen}"
    yield f"# first_cell = {json.dumps([TOTALS, PAGES])}   # regular expressions; these are taken when nothing is written here"
