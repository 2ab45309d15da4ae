"""Frames put under each other."""

from __future__ import annotations

import pandas as pd

from fleetstats.records.stacking import stacked


def test_a_column_without_a_value_does_not_decide_the_dtype() -> None:
    """Nothing but missing values in one frame, numbers and texts in the other: the dtypes of the other, no warning (they are errors here), nothing lost."""
    silent = pd.DataFrame({"value": pd.Series([None, None], dtype="object"), "text": [float("nan")] * 2})
    told = pd.DataFrame({"value": [1.5], "text": pd.Series(["a"], dtype="string")})
    for frames in ((silent, told), (told, silent)):
        both = stacked(frames)
        assert (both["value"].dtype, both["text"].dtype) == (told["value"].dtype, told["text"].dtype)
        assert sorted(both["value"].dropna()) == [1.5]
        assert both["text"].dropna().tolist() == ["a"]
    assert len(stacked([silent, silent])) == 4
