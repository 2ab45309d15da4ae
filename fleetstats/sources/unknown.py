"""Words that the vocabulary does not know: how often, in which text and where first."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

UNKNOWN_COLUMNS = {"text": "string", "count": "int64", "example": "string", "file": "string", "sheet": "string", "row": "Int64"}
"""text: the words; count: rows; example: a masked text they stand in, at most LONGEST signs; file, sheet, row: where that one stands."""

LONGEST = 120


def shortened(text: str) -> str:
    """A text on one line, cut to LONGEST signs."""
    text = " ".join(text.split())
    return text if len(text) <= LONGEST else text[:LONGEST - 1] + "…"


def empty_unknown() -> pd.DataFrame:
    """The list of unknown words without a row."""
    return pd.DataFrame({name: pd.Series(dtype=dtype) for name, dtype in UNKNOWN_COLUMNS.items()})


def summed_unknown(unknown: pd.DataFrame) -> pd.DataFrame:
    """One row per text: counts summed, example and place of the first by file, sheet and row; the most frequent first."""
    unknown = unknown[list(UNKNOWN_COLUMNS)].astype(UNKNOWN_COLUMNS).sort_values(["file", "sheet", "row", "example"], kind="stable", na_position="first")
    counts = unknown.groupby("text")["count"].sum()
    first = unknown.drop_duplicates("text")
    return first.assign(count=first["text"].map(counts).astype("int64")).sort_values(["count", "text"], ascending=[False, True], ignore_index=True)


def joined_unknown(parts: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """Several such lists as one."""
    filled = [part for part in parts if len(part)]
    return summed_unknown(pd.concat(filled, ignore_index=True)) if filled else empty_unknown()
