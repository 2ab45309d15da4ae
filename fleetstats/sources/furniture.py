"""Rows that are no record: titles, headings repeated on a new page, totals, blank lines."""

from __future__ import annotations

import re
from collections.abc import Callable

import pandas as pd

from fleetstats.sources.profile import Profile
from fleetstats.sources.readers import RawSheet

FATE_COLUMNS = {"sheet": "string", "row": "Int64", "fate": "string", "reason": "string"}


def fates(sheet: str | None, rows: list[int] | pd.Index, fate: str, reason: str | list[str]) -> pd.DataFrame:
    """One fate for each of the rows."""
    frame = pd.DataFrame({"row": list(rows)})
    return frame.assign(sheet=sheet, fate=fate, reason=reason)[list(FATE_COLUMNS)].astype(FATE_COLUMNS)


def part_furniture(raw: RawSheet, profile: Profile) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The records of a sheet, and the fates of everything that is none."""
    cells = raw.cells
    repeated = pd.Series(True, index=cells.index)
    for heading in raw.headings:
        repeated &= cells[heading].isna() | (cells[heading].astype("string").str.split().str.join(" ") == heading).fillna(False).astype(bool)
    totals = _first_cells(cells).map(_matcher(profile)).astype(bool) if len(cells) else repeated
    gone = [
        fates(raw.sheet, list(raw.titles), "furniture", "above the headings"),
        fates(raw.sheet, list(raw.blank), "furniture", "blank"),
        fates(raw.sheet, cells.index[repeated], "furniture", "headings repeated"),
        fates(raw.sheet, cells.index[totals & ~repeated], "furniture", "title or total"),
    ]
    return cells[~(totals | repeated)], pd.concat(gone, ignore_index=True)


def _first_cells(cells: pd.DataFrame) -> pd.Series:
    first = cells.iloc[:, 0]
    for place in range(1, cells.shape[1]):
        empty = first.isna()
        if not empty.any():
            break
        first = first.where(~empty, cells.iloc[:, place])
    return first


def _matcher(profile: Profile) -> Callable[[object], bool]:
    patterns = [re.compile(pattern, re.IGNORECASE) for pattern in profile.furniture.first_cell]
    return lambda cell: any(pattern.search(str(cell)) for pattern in patterns)
