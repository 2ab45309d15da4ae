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

Plain = Callable[[Sequence[object]], tuple[np.ndarray, list[object]]]
"""From distinct values to (which of them it reads, a meaning for each; only the meanings of those count)."""

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

    codes: (rows,) place of each row's value, -1 where empty. values: the distinct values as they stood. meanings: of each, None where there is none.
    faults: place of a value that could not be read -> why.
    """

    codes: np.ndarray = field(repr=False)
    values: list[object] = field(repr=False)
    meanings: list[object] = field(repr=False)
    faults: dict[int, Fault] = field(repr=False)


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


def parsed(column: pd.Series, parse: Parse, plain: Plain | None = None) -> Parsed:
    """Each distinct value of a column that is not empty parsed once; those that `plain` reads all at a time are not given to `parse`."""
    codes, values = distinct(column)
    unread: tuple[np.ndarray, list[object]] = np.zeros(len(values), dtype=bool), [None] * len(values)
    done, meanings = plain(values) if plain else unread
    faults: dict[int, Fault] = {}
    for place in np.flatnonzero(~done).tolist():
        meaning = parse(values[place])
        if isinstance(meaning, Fault):
            faults[place] = meaning
        meanings[place] = None if isinstance(meaning, Fault) else meaning
    return Parsed(codes=codes, values=values, meanings=meanings, faults=faults)
