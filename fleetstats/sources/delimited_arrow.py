"""The fast way through a delimited file in which every record is one line with a cell for every heading; any other is left to the csv module."""

from __future__ import annotations

import csv
import io
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.csv

from fleetstats.errors import Problem
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, clean, headings_of, raw_sheet_of_columns, too_many_cells

LONGEST_RECORD = 131_072
"""Bytes of a line that is surely within the csv module's limit for one cell; a longer one is left to it."""

BLOCK = 1 << 22


def sheet_of_lines(data: bytes, file: str, layout: Format, notes: list[Problem]) -> RawSheet | None:
    """The sheet of UTF-8 bytes without a mark or NUL signs, the same as the csv module gives; None where that is not certain.

    It is certain where pyarrow finds as many records as there are lines, all as long as the row of the headings, and the last one is not open.
    """
    lines = _line_ends(data)
    if lines is None or len(lines) < layout.header_row:
        return None
    start = int(lines[layout.header_row - 1])
    record = _heading_record(data[:start], layout)
    if record is None or len(record) < 2 or _is_open(data, lines, layout.delimiter):
        return None
    headings = headings_of([clean(cell) for cell in record], layout.header_row, layout.header_row, file, None)
    lengths = np.diff(lines[layout.header_row - 1:])
    filled = lengths > (2 if b"\r" in data[:start] else 1)
    numbers = np.flatnonzero(filled) + layout.header_row + 1
    table = _records(data, start, len(record), layout.delimiter) if len(numbers) else None
    if len(numbers) and (table is None or table.num_rows != len(numbers)):
        return None
    columns = [table.column(place) if table is not None else pa.chunked_array([], pa.string()) for place in range(len(record))]
    width = len(headings)
    return raw_sheet_of_columns(columns[:width], headings, numbers, sheet=None, blank=(np.flatnonzero(~filled) + layout.header_row + 1).tolist(),
                                titles=range(1, layout.header_row), notes=notes, doubtful=_beyond(columns[width:], numbers, width, file))


def _line_ends(data: bytes) -> np.ndarray | None:
    """Place behind the end of each line; None where lines end in more than one way, or one is too long."""
    returns = data.count(b"\r")
    if returns and returns != data.count(b"\r\n"):
        return None
    ends = np.flatnonzero(np.frombuffer(data, dtype=np.uint8) == 10) + 1
    if returns and returns != len(ends):
        return None
    if not len(ends) or ends[-1] != len(data):
        ends = np.append(ends, len(data) + 1 + bool(returns))  # as if the last line ended like the others
    return ends if np.diff(ends, prepend=0).max() <= LONGEST_RECORD else None


def _heading_record(above: bytes, layout: Format) -> list[str] | None:
    """The cells of the heading row; None where the rows up to it are not one line each, or it is empty."""
    records = list(csv.reader(io.StringIO(above.decode("utf-8"), newline=""), delimiter=layout.delimiter))
    record = records[-1] if len(records) == layout.header_row else []
    return record if any(cell.strip() for cell in record) else None


def _is_open(data: bytes, lines: np.ndarray, delimiter: str) -> bool:
    """Whether the last line ends inside quotation marks."""
    last = data[int(lines[-2]) if len(lines) > 1 else 0:].decode("utf-8")
    try:
        list(csv.reader([last], delimiter=delimiter, strict=True))
    except csv.Error:
        return True
    return False


def _records(data: bytes, start: int, width: int, delimiter: str) -> Any:
    """The cells below the headings as a table of texts; None where a line has more or fewer than `width`."""
    names = [str(place) for place in range(width)]
    try:
        return pyarrow.csv.read_csv(
            pa.BufferReader(pa.py_buffer(data).slice(start)),
            read_options=pyarrow.csv.ReadOptions(column_names=names, block_size=BLOCK),
            parse_options=pyarrow.csv.ParseOptions(delimiter=delimiter, ignore_empty_lines=True),
            convert_options=pyarrow.csv.ConvertOptions(column_types={name: pa.string() for name in names}, strings_can_be_null=False, check_utf8=False))
    except pa.ArrowInvalid:
        return None


def _beyond(columns: list[pa.ChunkedArray], numbers: np.ndarray, width: int, file: str) -> list[Problem]:
    """The rows with something beyond the last heading."""
    full = np.zeros(len(numbers), dtype=bool)
    for column in columns:
        full |= np.array([clean(text) is not None for text in column.to_pylist()], dtype=bool)
    return [too_many_cells(width, file, number) for number in numbers[full].tolist()]
