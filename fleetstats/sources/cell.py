"""One cell: a parser takes its value and gives what it means or why it has no meaning; distinct values are parsed once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd


@dataclass(frozen=True, kw_only=True)
class Fault:
    """Why a cell was left empty: the fault in a few words, what would have been right, what to do."""

    what: str
    wanted: str
    remedy: str = "The cell was left empty; mend it in the file, or leave it so."


Parse = Callable[[object], object]
"""From a cell's value to its meaning, None where it is empty, or a Fault."""

MISSING = frozenset({"", "-", "--", "---", "?", "n/a", "na", "n.a.", "nil", "none", "null", "unk", "unknown", "tba", "tbc", "x", "xx", "9999",
                     "see prev", "ditto", "as above", "nd", "n.d.", "s.o.", "inconnu", "aucun", "#n/a", "nan"})
"""Texts that say that nothing was recorded."""


def is_missing(value: object) -> bool:
    """Whether a cell says that nothing was recorded."""
    return value is None or (isinstance(value, float) and np.isnan(value)) or (isinstance(value, str) and value.strip().lower() in MISSING)


def unless_missing(parse: Parse) -> Parse:
    """The parser with words that mean 'not recorded' read as nothing."""
    return lambda value: None if is_missing(value) else parse(value)


def parse_distinct(column: pd.Series, parse: Parse) -> tuple[pd.Series, pd.Series]:
    """Each distinct value of a column that is not empty parsed once.

    Returns (meanings, faults), both object series on the column's index; faults holds a Fault where a cell could not be read.
    """
    codes, distinct = pd.factorize(np.asarray(column, dtype=object))
    parsed = [parse(value) for value in distinct]
    meanings = np.array([None if isinstance(meaning, Fault) else meaning for meaning in parsed] + [None], dtype=object)
    faults = np.array([meaning if isinstance(meaning, Fault) else None for meaning in parsed] + [None], dtype=object)
    return pd.Series(meanings[codes], index=column.index, dtype=object), pd.Series(faults[codes], index=column.index, dtype=object)
