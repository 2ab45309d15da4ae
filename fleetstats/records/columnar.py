"""Frames as Arrow tables and back: the same values and dtypes, every distinct text held once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, cast

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

ARROW = {"string": pa.string(), "float64": pa.float64(), "Int64": pa.int64(), "int64": pa.int64(), "boolean": pa.bool_(), "datetime64[s]": pa.timestamp("s")}


def dtypes_of(frame: pd.DataFrame) -> dict[str, str]:
    """Column -> name of its dtype, as `to_pandas` takes them."""
    return {str(name): str(dtype) for name, dtype in frame.dtypes.items()}


def to_arrow(frame: pd.DataFrame) -> pa.Table:
    """The frame as an Arrow table; the index is left out."""
    return pa.table({name: _array(frame[name], dtype) for name, dtype in dtypes_of(frame).items()})


def to_pandas(table: pa.Table, dtypes: Mapping[str, str], *, carried: bool = False) -> pd.DataFrame:
    """The table as a frame with these columns and dtypes, index from 0; equal texts are one object in memory.

    carried: texts stay in Arrow's memory, dictionaries as categories: what is put together before it is used need not become objects.
    """
    read = _carried if carried else _series
    return pd.DataFrame({name: read(table[name].combine_chunks(), dtype) for name, dtype in dtypes.items()}, index=pd.RangeIndex(len(table)), copy=False)


def joined_texts(parts: Iterable[pd.Series]) -> pd.Series:
    """Columns of texts put under each other, index from 0; parts: texts in any form."""
    arrays = [_text(part) for part in parts]
    if all(pa.types.is_dictionary(array.type) for array in arrays):
        objects = _shared(pa.chunked_array(arrays).combine_chunks())
    else:
        objects = np.concatenate([_shared(array) if pa.types.is_dictionary(array.type) else _objects(array) for array in arrays])
    return pd.Series(pd.arrays.StringArray(objects), copy=False)


def carried_texts(parts: Iterable[pd.Series]) -> pd.Series:
    """The same left in Arrow's memory: categories, or texts where some of the parts are too."""
    arrays = [_text(part) for part in parts]
    if not all(pa.types.is_dictionary(array.type) for array in arrays):
        arrays = [array.cast(pa.large_string()) for array in arrays]
    return _carried(pa.chunked_array(arrays).combine_chunks(), "string")


def text_ranks(column: pd.Series) -> np.ndarray:
    """Place of each text among the distinct ones in alphabetical order, -1 where it is missing."""
    coded = _text(column)
    coded = coded if pa.types.is_dictionary(coded.type) else coded.dictionary_encode()
    ranks = np.empty(len(coded.dictionary) + 1, dtype=np.int64)
    ranks[pc.array_sort_indices(coded.dictionary).to_numpy()] = np.arange(len(coded.dictionary))
    ranks[-1] = -1
    return np.asarray(ranks[coded.indices.fill_null(len(coded.dictionary)).to_numpy()])


def rows_of(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows as plain Python, None where a value is missing; for short tables."""
    columns = {str(name): [None if missing else value for value, missing in zip(frame[name], frame[name].isna(), strict=True)] for name in frame.columns}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def _array(column: pd.Series, dtype: str) -> pa.Array:
    if dtype in ("string", "category"):
        return _text(column).cast(pa.string())
    return pa.array(column, type=ARROW.get(dtype), from_pandas=True)


def _series(array: pa.Array, dtype: str) -> pd.Series:
    if dtype in ("string", "object"):
        return pd.Series(_shared(array), dtype=cast(Any, dtype))
    return pd.Series(array.to_pandas(integer_object_nulls=True, date_as_object=False)).astype(cast(Any, dtype))


def _carried(array: pa.Array, dtype: str) -> pd.Series:
    if dtype != "string":
        return _series(array, dtype)
    if not pa.types.is_dictionary(array.type):
        return pd.Series(_arrow_texts(array))
    place = array.indices.fill_null(-1).to_numpy()
    return pd.Series(pd.Categorical.from_codes(place, categories=pd.Index(_arrow_texts(array.dictionary))))


def _arrow_texts(array: pa.Array) -> Any:
    return pd.array(array.cast(pa.large_string()), dtype=cast(Any, pd.StringDtype("pyarrow")))


def _text(column: pd.Series) -> pa.Array:
    """A column of texts as Arrow has it: a dictionary where they are categories."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        place = column.cat.codes.to_numpy().astype(np.int32)
        return pa.DictionaryArray.from_arrays(pa.array(place, mask=place < 0), _text(column.cat.categories.to_series()))
    # the texts themselves, missing ones left to Arrow: pandas would first copy the column
    held = column.array if column.dtype == pd.StringDtype("pyarrow") else np.asarray(column.array, dtype=object)
    array = pa.array(held, type=pa.large_string(), from_pandas=True)
    return array.combine_chunks() if isinstance(array, pa.ChunkedArray) else array


def _objects(array: pa.Array) -> np.ndarray:
    """Texts as Python objects, one for each row; missing ones are pd.NA."""
    objects = array.to_numpy(zero_copy_only=False)
    if array.null_count:
        objects[array.is_null().to_numpy(zero_copy_only=False)] = pd.NA
    return np.asarray(objects)


def _shared(array: pa.Array) -> np.ndarray:
    """A text column as Python objects, one for each distinct text; missing ones are pd.NA."""
    coded = array if pa.types.is_dictionary(array.type) else array.dictionary_encode()
    distinct = np.array([*coded.dictionary.to_pylist(), pd.NA], dtype=object)
    shared: np.ndarray = distinct[coded.indices.fill_null(len(coded.dictionary)).to_numpy()]
    return shared
