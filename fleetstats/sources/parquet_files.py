"""Parquet: columns as they lie in the file, fields of a structure under dotted headings."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.limits import MOST_BYTES, MOST_CELLS
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, headings_of, raw_sheet_of_columns

MOST_PARQUET_CELLS = 4 * MOST_CELLS
"""Cells of a file; a repeated value is held once, so that many more can be held than of a workbook."""

DEEPEST = 24


def read_parquet(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The one sheet of a Parquet file; row: number of the record from 1.

    Lists and binary values are left empty, with a note per column. Raises InputRefused where the file is broken, too large, or has no columns.
    """
    try:
        table = _flattened(_table(data, file))
        notes = [_left_out(name, table.schema.field(name).type, file) for name in table.schema.names if not _is_held(table.schema.field(name).type)]
        columns = [_plain(column) for column in table.columns]
    except (pa.ArrowException, OSError, MemoryError, OverflowError, ValueError, KeyError) as error:
        why = " ".join(str(error).split())[:160]
        raise InputRefused(Problem(what=f"not a whole Parquet file ({why})", file=file,
                                   remedy="It may have been cut off while it was written or sent: send it again.")) from None
    if not any(name.strip() for name in table.schema.names):
        raise InputRefused(Problem(what="the file has no columns", file=file, remedy="Write it again with the columns that the profile names."))
    headings = headings_of([name.strip() for name in table.schema.names], 1, 1, file, None)
    columns += [pa.chunked_array([], pa.string())] * (len(headings) - len(columns))
    return [raw_sheet_of_columns(columns, headings, np.arange(1, table.num_rows + 1), sheet=None, notes=notes)]


def _table(data: bytes, file: str) -> Any:
    """The table of the bytes, after its own account of its size was held against the limit."""
    footer = pyarrow.parquet.ParquetFile(io.BytesIO(data))
    account = footer.metadata
    cells = account.num_rows * max(account.num_columns, 1)
    size = sum(account.row_group(place).total_byte_size for place in range(account.num_row_groups))
    if cells > MOST_PARQUET_CELLS or size > MOST_BYTES:
        raise InputRefused(Problem(what=f"the file holds {cells:,} cells and {size:,} bytes", file=file, wanted=f"at most {MOST_PARQUET_CELLS:,} cells",
                                   remedy="Write only the columns that the profile names, or split the file by year."))
    texts = [name for name, kind in zip(footer.schema_arrow.names, footer.schema_arrow.types, strict=True) if pa.types.is_string(kind)]
    table = pyarrow.parquet.read_table(io.BytesIO(data), read_dictionary=texts, use_threads=False)
    table.validate(full=True)  # texts that are no UTF-8, places beyond a dictionary
    return table


def _flattened(table: Any) -> Any:
    """The table with the fields of structures as columns of their own."""
    for _ in range(DEEPEST):
        if not any(pa.types.is_struct(kind) for kind in table.schema.types):
            break
        table = table.flatten()
    return table


def _is_held(kind: Any) -> bool:
    return not (pa.types.is_nested(kind) or pa.types.is_binary(kind) or pa.types.is_large_binary(kind) or pa.types.is_fixed_size_binary(kind))


def _left_out(name: str, kind: Any, file: str) -> Problem:
    return Problem(what=f"values of the kind {kind} are not read; the column is left empty"[:200], file=file, column=name,
                   remedy="Write it as text or numbers if it is needed.")


def _plain(column: Any) -> Any:
    """A column as texts, numbers or dates; a moment with a time zone as the text of it: which day it is of is the profile's to
    say (see `date_parser`)."""
    kind = column.type
    if not _is_held(kind):
        return pa.chunked_array([pa.nulls(len(column), pa.string())])
    if pa.types.is_timestamp(kind) and kind.tz is None:
        return column.cast(pa.timestamp("us"), safe=False)
    texts = pa.types.is_timestamp(kind) or pa.types.is_time(kind) or pa.types.is_duration(kind) or pa.types.is_null(kind) or pa.types.is_boolean(kind)
    if pa.types.is_boolean(kind):
        return pc.if_else(column, "True", "False")
    return column.cast(pa.string()) if texts or pa.types.is_large_string(kind) or pa.types.is_string_view(kind) else column
