"""Small bridges: frames put under each other, text columns as plain Python."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd


def stacked(frames: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """The rows of frames with the same columns, index from 0; frames without rows, and columns without a value, take no part in finding dtypes."""
    parts = list(frames)
    filled = [part for part in parts if len(part)]
    return pd.concat(_alike(filled), ignore_index=True) if filled else parts[0].reset_index(drop=True)


def _alike(frames: list[pd.DataFrame]) -> list[pd.DataFrame]:
    """The frames, with columns that hold nothing but missing values in the dtype that the same column has where it holds one."""
    said = {name: next((frame[name].dtype for frame in frames if frame[name].notna().any()), frames[0][name].dtype)
            for name in frames[0] if any(frame[name].dtype != frames[0][name].dtype for frame in frames)}
    return [frame.astype({name: dtype for name, dtype in said.items() if frame[name].isna().all()}) for frame in frames] if said else frames


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
