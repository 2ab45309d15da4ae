"""Rows that are no record: titles, headings repeated on a new page, totals, blank lines."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

import numpy as np
import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.cell import distinct
from fleetstats.sources.masking import listed
from fleetstats.sources.plain_values import worth_a_look
from fleetstats.sources.profile import Profile
from fleetstats.sources.raw_sheet import RawSheet

FATE_COLUMNS = {"sheet": "string", "row": "Int64", "fate": "string", "reason": "string"}


def fates(sheet: str | None, rows: list[int] | pd.Index, fate: str, reason: str | list[str]) -> pd.DataFrame:
    """One fate for each of the rows."""
    frame = pd.DataFrame({"row": list(rows)})
    return frame.assign(sheet=sheet, fate=fate, reason=reason)[list(FATE_COLUMNS)].astype(FATE_COLUMNS)


def part_furniture(raw: RawSheet, profile: Profile, file: str) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The records of a sheet, and the fates of everything that is none.

    Raises InputRefused where [furniture] names a heading that the sheet does not have.
    """
    cells = raw.cells
    unread = _unread(cells, raw)
    repeated = ~unread
    for heading in raw.headings:
        if not repeated.any():
            break
        repeated[repeated] = _held(cells.loc[repeated, heading], partial(_says, heading), "^" + re.escape(heading.split()[0]), empty=True)
    totals = _first_cells_match(cells, profile.furniture.first_cell)
    ended = np.logical_or.accumulate(_first_cells_match(cells, profile.furniture.after))
    without = _without(cells, raw, profile, file) & ~unread
    gone = [
        fates(raw.sheet, list(raw.titles), "furniture", "above the headings"),
        fates(raw.sheet, list(raw.blank), "furniture", "blank"),
        fates(raw.sheet, cells.index[repeated], "furniture", "headings repeated"),
        fates(raw.sheet, cells.index[totals & ~repeated], "furniture", "title or total"),
    ]
    gone += [
        fates(raw.sheet, cells.index[ended & ~(totals | repeated)], "furniture", "below the end of the records"),
        fates(raw.sheet, cells.index[without & ~(ended | totals | repeated)], "furniture", "without what every record has"),
    ]
    gone_rows = totals | repeated | ended | without
    return cells[~gone_rows] if gone_rows.any() else cells, pd.concat(gone, ignore_index=True)


def _unread(cells: pd.DataFrame, raw: RawSheet) -> np.ndarray:
    """Doubtful rows of which no cell could be read: nothing tells that they are no records."""
    unread: np.ndarray = np.isin(cells.index.to_numpy(), [problem.row or 0 for problem in raw.doubtful])
    unread[unread] = cells[unread].isna().all(axis=1)
    return unread


def _without(cells: pd.DataFrame, raw: RawSheet, profile: Profile, file: str) -> np.ndarray:
    """Rows that are empty where the profile says every record has something."""
    without = np.zeros(len(cells), dtype=bool)
    for heading in profile.furniture.empty:
        if heading not in raw.headings:
            raise InputRefused(Problem(what=f"there is no column '{heading}'", file=file, sheet=raw.sheet, wanted=f"one of: {listed(raw.headings)}",
                                       remedy="Mend empty under [furniture] of its profile."))
        without |= cells[heading].isna().to_numpy()
    return without


def _held(column: pd.Series, test: Callable[[object], bool], shape: str, *, empty: bool) -> np.ndarray:
    """Of which rows the value passes a test, each distinct value in which `shape` is found tested once; empty: what is said of an empty cell."""
    codes, values = distinct(column)
    answers = np.zeros(len(values) + 1, dtype=bool)
    answers[-1] = empty
    for place in worth_a_look(values, shape):
        answers[place] = test(values[place])
    held: np.ndarray = answers[codes]
    return held


def _says(heading: str, value: object) -> bool:
    return value == heading or " ".join(str(value).split()) == heading


def _first_cells_match(cells: pd.DataFrame, rules: tuple[str, ...]) -> np.ndarray:
    """Which rows have a first cell that is not empty and matches one of the rules."""
    patterns = [re.compile(rule, re.IGNORECASE) for rule in rules]
    shape = "(?i)" + "|".join(f"(?:{pattern.pattern})" for pattern in patterns)
    matches, open_rows = np.zeros(len(cells), dtype=bool), np.ones(len(cells), dtype=bool)
    for heading in cells.columns:
        if not patterns or not open_rows.any():
            break
        column = cells.loc[open_rows, heading]
        matches[open_rows] = _held(column, lambda value: any(pattern.search(str(value)) for pattern in patterns), shape, empty=False)
        open_rows[open_rows] = column.isna().to_numpy()
    return matches
