"""Cells that are no note of a workshop: a text of tens of thousands of signs is a fault of an export, and would take long to read."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.errors import Problem
from fleetstats.sources.cell import distinct
from fleetstats.sources.profile import TEXT_COLUMNS, Profile
from fleetstats.sources.raw_sheet import RawSheet, categorical

LONGEST = 20_000
"""Signs of one cell that are read: some ten pages."""

TEXTS = (*TEXT_COLUMNS, "note")


def refuse_endless_texts(cells: pd.DataFrame, raw: RawSheet, profile: Profile, file: str) -> tuple[pd.DataFrame, list[Problem]]:
    """The cells with texts of more than 20,000 signs left empty, and a Problem for each."""
    problems: list[Problem] = []
    rows = cells.index.to_numpy()
    mended: dict[str, pd.Series] = {}
    for heading, name in ((" ".join(heading.split()), name) for heading, name in profile.columns.items() if name in TEXTS):
        codes, values = distinct(cells[heading])
        endless = np.array([isinstance(value, str) and len(value) > LONGEST for value in values] + [False], dtype=bool)
        if endless.any():
            at = np.flatnonzero(endless[codes])
            problems += [Problem(what=f"a text of {len(str(values[codes[place]])):,} signs", wanted=f"at most {LONGEST:,}", file=file, sheet=raw.sheet,
                                 row=int(rows[place]), column=heading, field=name, remedy="The cell was left empty; look whether a quotation mark is missing.")
                         for place in at.tolist()]
            mended[heading] = pd.Series(categorical(np.where(endless[codes], -1, codes), _held(values)), index=cells.index)
    return (cells.assign(**mended), problems) if mended else (cells, problems)


def _held(values: list[object]) -> np.ndarray:
    held = np.empty(len(values), dtype=object)
    held[:] = values
    return held
