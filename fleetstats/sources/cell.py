"""One cell: a parser takes its value and gives what it means or why it has no meaning; distinct values are parsed once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

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


@dataclass(frozen=True, kw_only=True)
class Parsed:
    """A column whose distinct values were parsed.

    codes: (rows,) place of each row's value, -1 where empty. values: the distinct values as they stood. meanings, faults: of each, None where there is none.
    """

    codes: np.ndarray = field(repr=False)
    values: list[object] = field(repr=False)
    meanings: list[object] = field(repr=False)
    faults: list[Fault | None] = field(repr=False)


def distinct(column: pd.Series) -> tuple[np.ndarray, list[object]]:
    """Place of each row's value, -1 where empty, and the distinct values that the rows hold; a categorical column is taken as it stands."""
    if not isinstance(column.dtype, pd.CategoricalDtype):
        codes, values = pd.factorize(np.asarray(column, dtype=object))
        return codes, list(values)
    places, known = column.cat.codes.to_numpy(), column.cat.categories.to_numpy(dtype=object)
    held = np.bincount(places[places >= 0], minlength=len(known)) > 0
    if held.all():
        return places, list(known)
    return np.append(np.cumsum(held) - 1, -1)[places], list(known[held])


def parsed(column: pd.Series, parse: Parse) -> Parsed:
    """Each distinct value of a column that is not empty parsed once."""
    codes, values = distinct(column)
    read = [parse(value) for value in values]
    return Parsed(codes=codes, values=values, meanings=[None if isinstance(meaning, Fault) else meaning for meaning in read],
                  faults=[meaning if isinstance(meaning, Fault) else None for meaning in read])


def parse_distinct(column: pd.Series, parse: Parse) -> tuple[pd.Series, pd.Series]:
    """Each distinct value of a column that is not empty parsed once.

    Returns (meanings, faults), both object series on the column's index; faults holds a Fault where a cell could not be read.
    """
    read = parsed(column, parse)
    return _scattered(read.meanings, read.codes, column.index), _scattered(read.faults, read.codes, column.index)


def _scattered(values: Sequence[object], codes: np.ndarray, index: pd.Index) -> pd.Series:
    held = np.empty(len(values) + 1, dtype=object)
    held[:-1] = values
    return pd.Series(held[codes], index=index, dtype=object)
