"""Distinct texts of several columns."""

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.records.distinct import distinct, first_of_each

CELLS = st.lists(st.none() | st.text("ab ", max_size=2), max_size=8)


@settings(deadline=None)
@given(st.lists(CELLS, min_size=1, max_size=4))
def test_columns_are_told_again_by_their_places(columns) -> None:
    """Every text once, in the order in which they are met; at its place each cell; the counts are those of the cells."""
    met = distinct([pd.Series(column, dtype="string") for column in columns])
    cells = [text for column in columns for text in column if text is not None]
    assert met.texts.tolist() == list(dict.fromkeys(cells))
    assert [[met.texts[place] if place >= 0 else None for place in places] for places in met.places] == columns
    assert met.counts(met.places).tolist() == [cells.count(text) for text in met.texts]


@settings(deadline=None)
@given(st.dictionaries(st.text("ab", max_size=3), st.tuples(st.integers(0, 2), st.integers(0, 1), st.integers(0, 1)), max_size=8))
def test_the_first_of_each_group_is_the_least(rows) -> None:
    """By the keys in their order, then by the alphabet, as the least of all its members is found."""
    numbers = {group: number for number, group in enumerate(dict.fromkeys(group for group, _, _ in rows.values()))}
    group, one, two = (np.array([row[part] for row in rows.values()], dtype=np.int64) for part in range(3))
    texts = np.array(list(rows), dtype=object)
    first = first_of_each(np.array([numbers[at] for at in group], dtype=np.int64), texts, one, two)
    least = [min((b, c, text) for text, (a, b, c) in rows.items() if a == at)[2] for at in numbers]
    assert texts[first].tolist() == least
