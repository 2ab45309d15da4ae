"""The distinct texts of several columns, found once for all of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc


@dataclass(frozen=True)
class Distinct:
    """texts: every text met, once. places: per column the place in `texts` of every row, -1 where it is missing."""

    texts: np.ndarray
    places: list[np.ndarray]

    def counts(self, places: Iterable[np.ndarray]) -> np.ndarray:
        """How many rows of these columns, given by their places, have each text."""
        return sum((np.bincount(place + 1, minlength=len(self.texts) + 1)[1:] for place in places), np.zeros(len(self.texts), dtype=np.int64))


def distinct(columns: Sequence[pd.Series]) -> Distinct:
    """The texts of columns, in the order in which they are first met."""
    # the texts themselves, missing ones left to Arrow: pandas would first copy the columns
    plain = [pa.array(np.asarray(column.array, dtype=object), type=pa.large_string(), from_pandas=True) for column in columns]
    place, texts = _encoded(pa.concat_arrays(plain))
    return Distinct(texts, np.split(place, np.cumsum([len(column) for column in plain])[:-1]))


def coded(texts: Collection[str]) -> tuple[np.ndarray, np.ndarray]:
    """A number per text, the same for equal ones, and the text of each number."""
    return _encoded(pa.array(texts, type=pa.large_string()))


def first_of_each(group: np.ndarray, texts: np.ndarray, *keys: np.ndarray) -> np.ndarray:
    """Per group number the place of the text that comes first by `keys`, the foremost first, smallest first; then by the alphabet.

    group: for each text a number below that of all groups, each of which has a text.
    """
    first = np.empty(int(group.max(initial=-1)) + 1, dtype=np.int64)
    first[group] = np.arange(len(group))
    several = np.flatnonzero(np.bincount(group)[group] > 1)
    several = several[pc.array_sort_indices(pa.array(texts[several], type=pa.large_string())).to_numpy()]
    several = several[np.lexsort([*(key[several] for key in reversed(keys)), group[several]])]
    # of several written to one place the last one stays
    first[group[several[::-1]]] = several[::-1]
    return first


def _encoded(texts: pa.Array) -> tuple[np.ndarray, np.ndarray]:
    found = texts.dictionary_encode()
    return found.indices.fill_null(-1).to_numpy().astype(np.int64), found.dictionary.to_numpy(zero_copy_only=False)
