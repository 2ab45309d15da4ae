"""Where groups begin, against rows told apart one by one."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fleetstats.records.packed import begins


@given(st.lists(st.tuples(st.integers(0, 2), st.sampled_from(["a", "b", None]))))
def test_a_group_begins_where_any_column_differs(rows: list[tuple[int, str | None]]) -> None:
    """The first row begins one, every other where it is not as the one before; no rows, no beginnings."""
    numbers, words = np.array([one for one, _ in rows], dtype=np.int64), np.array([two for _, two in rows], dtype=object)
    assert begins(numbers, words).tolist() == [place == 0 or rows[place] != rows[place - 1] for place in range(len(rows))]
