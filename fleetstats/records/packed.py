"""Columns as whole numbers, so that rows are compared, sorted and grouped by one key instead of by several texts."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pandas as pd
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from fleetstats.records.spelling import normal

MISSING_DAY = 1 << 22
"""A day number no calendar reaches (year 13453)."""
BITS = 63
Links = tuple[np.ndarray, np.ndarray]
"""Positions of the first and second row of each link."""


def codes(column: pd.Series, form: Callable[[str], str] | None = None) -> np.ndarray:
    """A number per distinct value, -1 where it is missing. form: values for which it gives the same are one."""
    place, distinct = pd.factorize(column)
    if form is None:
        return np.asarray(place, dtype=np.int64)
    forms = np.append(pd.factorize(np.array([form(value) for value in distinct], dtype=object))[0], -1)
    return np.asarray(forms[place], dtype=np.int64)


def document_form(documents: pd.Series) -> pd.Series:
    """Document numbers in upper case, letters and digits only."""
    place, distinct = pd.factorize(documents)
    form = np.array([*(normal(text) for text in distinct), None], dtype=object)
    return pd.Series(form[place], index=documents.index, dtype="string")


def day_numbers(days: pd.Series) -> np.ndarray:
    """Days since 1970-01-01, `MISSING_DAY` where missing: it sorts last."""
    numbers = days.to_numpy().astype("datetime64[D]").astype(np.int64)
    return np.where(days.isna().to_numpy(bool), MISSING_DAY, numbers)


def packed(*columns: np.ndarray | pd.Series) -> np.ndarray:
    """One whole number per row that sorts as the columns do, the first foremost, and is equal where they all are.

    columns: whole numbers; a column too wide for what is left of 63 bits is replaced by the ranks of its values.
    """
    key = np.zeros(len(columns[0]), dtype=np.int64)
    if not len(key):
        return key
    used = 0
    for column in columns:
        # the distance from the smallest where that is narrow, its rank where it is not
        numbers = np.asarray(column, dtype=np.int64)
        if int(numbers.max()) - int(numbers.min()) >= 1 << 24:
            numbers = np.unique(numbers, return_inverse=True)[1].astype(np.int64)
        numbers = numbers - numbers.min()
        width = int(numbers.max()).bit_length()
        if used + width > BITS:
            key = np.unique(key, return_inverse=True)[1].astype(np.int64)
            used = int(key.max()).bit_length()
        key = (key << width) | numbers
        used += width
    return key


def order_of(*columns: np.ndarray | pd.Series) -> np.ndarray:
    """Positions in the order of the columns, the first foremost; equal rows stay in their order."""
    return np.argsort(packed(*columns), kind="stable")


def begins(*columns: np.ndarray) -> np.ndarray:
    """True for every row that differs from the one before it in any of the columns, and for the first."""
    differs = np.ones(len(columns[0]), dtype=bool)
    differs[1:] = np.logical_or.reduce([column[1:] != column[:-1] for column in columns])
    return differs


def repeated(key: np.ndarray) -> np.ndarray:
    """True for every row whose key another row has."""
    low = int(key.min(initial=0))
    if int(key.max(initial=0)) - low < 4 * len(key):
        return np.asarray(np.bincount(key - low)[key - low] > 1)
    return np.asarray(pd.Series(key).duplicated(keep=False))


def neighbours(key: np.ndarray, where: np.ndarray) -> Links:
    """Links between rows of `where` with one key, each to the next of them by position."""
    order = where[np.argsort(key[where], kind="stable")]
    same = key[order[1:]] == key[order[:-1]]
    return order[:-1][same], order[1:][same]


def pairs_within(groups: np.ndarray) -> Iterator[Links]:
    """All pairs of rows with one group number, by the distance between them: first neighbours, then the ones after."""
    order = np.argsort(groups, kind="stable")
    sorted_groups = groups[order]
    near = np.arange(len(order))
    for lag in range(1, len(order)):
        near = near[near + lag < len(order)]
        near = near[sorted_groups[near] == sorted_groups[near + lag]]
        if not len(near):
            return
        yield order[near], order[near + lag]


def joined(parts: list[Links]) -> Links:
    """Links put one after the other."""
    if not parts:
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    return np.concatenate([one for one, _ in parts]), np.concatenate([two for _, two in parts])


def grouped(n: int, links: Links) -> np.ndarray:
    """A number below n per group of rows connected by links, for n rows."""
    graph = coo_array((np.ones(len(links[0]), dtype=np.int8), links), shape=(n, n))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)
