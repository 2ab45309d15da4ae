"""Frames as Arrow tables and back: the same values and dtypes, every distinct text held once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

import numpy as np
import pandas as pd
import pyarrow as pa

ARROW = {"string": pa.string(), "float64": pa.float64(), "Int64": pa.int64(), "int64": pa.int64(), "boolean": pa.bool_(), "datetime64[s]": pa.timestamp("s")}


def dtypes_of(frame: pd.DataFrame) -> dict[str, str]:
    """Column -> name of its dtype, as `to_pandas` takes them."""
    return {str(name): str(dtype) for name, dtype in frame.dtypes.items()}


def to_arrow(frame: pd.DataFrame) -> pa.Table:
    """The frame as an Arrow table; the index is left out. Text becomes dictionaries."""
    return pa.table({name: _array(frame[name], dtype) for name, dtype in dtypes_of(frame).items()})


def to_pandas(table: pa.Table, dtypes: Mapping[str, str]) -> pd.DataFrame:
    """The table as a frame with these columns and dtypes, index from 0; equal texts are one object in memory."""
    return pd.DataFrame({name: _series(table[name].combine_chunks(), dtype) for name, dtype in dtypes.items()}, index=pd.RangeIndex(len(table)))


def rows_of(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows as plain Python, None where a value is missing; for short tables."""
    columns = {str(name): [None if missing else value for value, missing in zip(frame[name], frame[name].isna(), strict=True)] for name in frame.columns}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def _array(column: pd.Series, dtype: str) -> pa.Array:
    if dtype == "string":
        # the texts themselves, missing ones left to Arrow: pandas would first copy the column
        return pa.array(np.asarray(column.array, dtype=object), type=pa.string(), from_pandas=True).dictionary_encode()
    array = pa.array(column, type=ARROW.get(dtype), from_pandas=True)
    return array.dictionary_encode() if pa.types.is_string(array.type) else array


def _series(array: pa.Array, dtype: str) -> pd.Series:
    if dtype in ("string", "object"):
        return pd.Series(_shared(array), dtype=cast(Any, dtype))
    return pd.Series(array.to_pandas(integer_object_nulls=True, date_as_object=False)).astype(cast(Any, dtype))


def _shared(array: pa.Array) -> np.ndarray:
    """A text column as Python objects, one for each distinct text; missing ones are pd.NA."""
    coded = array if pa.types.is_dictionary(array.type) else array.dictionary_encode()
    distinct = np.array([*coded.dictionary.to_pylist(), pd.NA], dtype=object)
    shared: np.ndarray = distinct[coded.indices.fill_null(len(coded.dictionary)).to_numpy()]
    return shared
