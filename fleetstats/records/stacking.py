"""Small bridges: frames put under each other, text columns as plain Python."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd


def stacked(frames: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """The rows of frames with the same columns and dtypes, index from 0; frames without rows take no part in finding dtypes."""
    parts = list(frames)
    filled = [part for part in parts if len(part)]
    return pd.concat(filled, ignore_index=True) if filled else parts[0].reset_index(drop=True)


def texts(column: pd.Series) -> np.ndarray:
    """A text column as an array of str, None where it is missing."""
    plain = np.array(column.astype("object"), dtype=object)
    plain[column.isna().to_numpy(bool)] = None
    return plain


def spread(known: np.ndarray, place: np.ndarray) -> pd.Series:
    """Texts at the rows that have them, index from 0. place: of each row in `known`, -1 for a missing text."""
    return pd.Series(pd.arrays.StringArray(np.concatenate([known, np.array([pd.NA], dtype=object)])[place]))


def taken(frame: pd.DataFrame, where: np.ndarray) -> pd.DataFrame:
    """The rows at the positions `where`, index from 0."""
    some = frame.take(where)
    some.index = pd.RangeIndex(len(some))
    return some
