"""`RawSheet`: the cells of one sheet as they stand in the file, each distinct value held and cleaned once."""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, cast

import numpy as np
import pandas as pd
import pyarrow as pa

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.profile import Format

HALVES = re.compile("[\ud800-\udfff]")
"""Halves of signs beyond the first 65,536, which JSON can escape alone ("\\ud83d"): no text can be written with one."""

HARD_BLANKS = ("\u00a0".encode(), "\u202f".encode())


@dataclass(frozen=True, kw_only=True)
class RawSheet:
    """The cells of one sheet (or of one text file), untouched but for blanks at their ends.

    headings: text of the heading row. cells: one categorical column per heading; its categories are the distinct values (text, number, date) in order of
    appearance, an empty cell is missing; index: row as a person counts, from 1. blank: numbers of rows without any cell. titles: rows above the headings.
    doubtful: one Problem per row whose cells cannot be told apart for sure; such a row is refused, and is among `cells` even if it has none.
    notes: what is to be said of the sheet as a whole.
    date_system: what its workbook counts bare numbers of days from ("1900", "1904"); None where there is no workbook, or it does not say.
    unmerged: headings that fill_down of the profile names though no cells below them are merged.
    """

    sheet: str | None
    headings: tuple[str, ...]
    cells: pd.DataFrame = field(repr=False)
    blank: tuple[int, ...] = ()
    titles: tuple[int, ...] = ()
    doubtful: tuple[Problem, ...] = field(default=(), repr=False)
    notes: tuple[Problem, ...] = field(default=(), repr=False)
    date_system: str | None = None
    unmerged: tuple[str, ...] = ()

    @property
    def rows_read(self) -> int:
        """Rows of the sheet, headings left out."""
        return len(self.cells) + len(self.blank) + len(self.titles)


def sure_rows(raw: RawSheet) -> pd.DataFrame:
    """The cells of the rows that are not doubtful."""
    doubtful = np.isin(raw.cells.index.to_numpy(), [problem.row or 0 for problem in raw.doubtful])
    return raw.cells[~doubtful] if doubtful.any() else raw.cells


def clean(cell: object) -> object:
    """A cell's value: texts without blanks at their ends, hard blanks as plain ones, half a sign as U+FFFD; truth values as their words; None where nothing
    stands."""
    if isinstance(cell, str):
        text = cell.strip().replace("\u00a0", " ").replace("\u202f", " ")
        return (text if text.isascii() else without_halves(text)) or None
    if isinstance(cell, bool):
        return str(cell)  # True equals 1, and would be taken for it among distinct values
    if isinstance(cell, Decimal):
        cell = float(cell)
    return None if cell is None or cell != cell else cell


def without_halves(text: str) -> str:
    """The text with each half of a sign that stands alone as U+FFFD, the sign for what could not be read."""
    return HALVES.sub("\ufffd", text)


def raw_sheet_of_rows(numbered_rows: Iterable[tuple[int, Sequence[object]]], *, sheet: str | None, file: str, layout: Format,
                      doubtful: Sequence[Problem] = (), notes: Sequence[Problem] = ()) -> RawSheet:
    """A sheet from its rows, each with the number a person sees; cells are hashable values.

    Rows above layout.header_row are titles, that row holds the headings. In a text file (no sheet) a row with something beyond the last heading is doubtful.
    Raises InputRefused where there are no headings in that row. The sequence `doubtful` is read when the rows have been, so that a reader may add to it.
    """
    titles: list[int] = []
    rows: _Rows | None = None
    for number, row in numbered_rows:
        if number < layout.header_row:
            titles.append(number)
        elif rows is None:
            rows = _Rows(headings_of([clean(cell) for cell in row], number, layout.header_row, file, sheet))
        else:
            rows.add(number, row)
    if rows is None and titles:
        raise no_headings(file, sheet, layout.header_row)
    rows = rows or _Rows([])
    rows.keep({problem.row for problem in doubtful})
    slipped = [too_many_cells(len(rows.headings), file, number) for number in rows.overlong] if sheet is None else []
    return RawSheet(sheet=sheet, headings=tuple(rows.headings), cells=rows.frame(), blank=tuple(rows.blank), titles=tuple(titles),
                    doubtful=one_per_row([*doubtful, *slipped]),
                    notes=(*notes, *rows.halves_told(file, sheet)))


def raw_sheet_of_columns(columns: Sequence[pa.ChunkedArray], headings: Sequence[str], numbers: np.ndarray, *, sheet: str | None,
                         blank: Sequence[int] = (), titles: Sequence[int] = (), doubtful: Sequence[Problem] = (), notes: Sequence[Problem] = ()) -> RawSheet:
    """A sheet from Arrow columns (any type whose distinct values can be taken; dictionary-encoded ones are taken as they are).

    headings: as `headings_of` gives them, one per column. numbers: (rows,) row of each record as a person counts.
    """
    coded = [_coded(column) for column in columns]
    empty = np.ones(len(numbers), dtype=bool)
    for codes, _ in coded:
        empty &= codes < 0
    empty &= ~np.isin(numbers, [problem.row or 0 for problem in doubtful])
    index = pd.Index(numbers[~empty], dtype="int64")
    held = {place: categorical(codes[~empty] if empty.any() else codes, values) for place, (codes, values) in enumerate(coded)}
    cells = pd.DataFrame(held, index=index)
    cells.columns = pd.Index(list(headings), dtype=object)
    return RawSheet(sheet=sheet, headings=tuple(headings), cells=cells, blank=tuple(sorted([*blank, *numbers[empty].tolist()])), titles=tuple(titles),
                    doubtful=one_per_row(doubtful), notes=tuple(notes))


def categorical(codes: np.ndarray, values: Sequence[object] | np.ndarray) -> pd.Categorical:
    """A column from the places of its distinct values, -1 where empty."""
    return pd.Categorical.from_codes(cast(Any, codes), categories=pd.Index(cast(Any, values), dtype=object))


def _objects(values: Iterable[object]) -> np.ndarray:
    listed = list(values)
    held = np.empty(len(listed), dtype=object)
    held[:] = listed
    return held


def _coded(column: pa.ChunkedArray) -> tuple[np.ndarray, np.ndarray]:
    """Places of the distinct cleaned values, -1 where empty; the values in order of appearance."""
    encoded = column.dictionary_encode() if not pa.types.is_dictionary(column.type) else column.unify_dictionaries()
    if not encoded.num_chunks:
        return np.empty(0, dtype=np.int32), _objects([])
    codes = np.concatenate([chunk.indices.fill_null(-1).to_numpy(zero_copy_only=False) for chunk in encoded.chunks])
    dictionary = encoded.chunk(0).dictionary
    if pa.types.is_string(dictionary.type) and not _needs_cleaning(dictionary):
        return _without_empty(codes, dictionary.to_numpy(zero_copy_only=False))
    seen: dict[object, int] = {}
    places = [-1 if value is None else seen.setdefault(value, len(seen)) for value in map(clean, dictionary.to_pylist())]
    return np.array([*places, -1], dtype=np.int32)[codes], _objects(seen)


def _needs_cleaning(texts: pa.Array) -> bool:
    """Whether any of the texts may have a blank at an end or hold a hard blank: judged by its bytes, all texts at a time."""
    _, offsets, data = texts.buffers()
    ends = np.frombuffer(offsets, dtype=np.int32)[texts.offset:texts.offset + len(texts) + 1]
    filled = np.diff(ends) > 0
    if not filled.any():
        return False
    held = np.frombuffer(data, dtype=np.uint8)[:ends[-1]]
    edges = np.concatenate([held[ends[:-1][filled]], held[ends[1:][filled] - 1]])
    return bool(((edges <= 32) | (edges >= 128)).any()) or any(blank in held.tobytes() for blank in HARD_BLANKS)


def _without_empty(codes: np.ndarray, values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The empty text, if it is among the distinct ones, made missing."""
    empty = np.flatnonzero(values == "")
    return (np.where(codes == empty[0], -1, codes - (codes > empty[0])), np.delete(values, empty[0])) if len(empty) else (codes, values)


class _Rows:
    """Rows as they come, kept as places of distinct values."""

    def __init__(self, headings: list[str]) -> None:
        self.headings = headings
        self.blank: list[int] = []
        self.overlong: list[int] = []
        self.numbers = array("q")
        self.codes = [array("i") for _ in headings]
        self.met: list[dict[object, int]] = [{} for _ in headings]
        self.values: list[dict[object, int]] = [{} for _ in headings]
        self.halved: dict[int, list[int]] = {}

    def add(self, number: int, row: Sequence[object]) -> None:
        """One row: short ones are filled up, what stands beyond the last heading is noticed, not kept."""
        width = len(self.headings)
        places = [self._place(column, cell, number) for column, cell in enumerate(row[:width])]
        beyond = len(row) > width and any(clean(cell) is not None for cell in row[width:])
        if not beyond and not any(place >= 0 for place in places):
            self.blank.append(number)
            return
        self.numbers.append(number)
        for codes, place in zip(self.codes, places + [-1] * (width - len(places)), strict=True):
            codes.append(place)
        if beyond:
            self.overlong.append(number)

    def keep(self, numbers: set[int | None]) -> None:
        """Make those of the blank rows records without a cell."""
        kept = [number for number in self.blank if number in numbers]
        self.blank = [number for number in self.blank if number not in numbers]
        self.numbers.extend(kept)
        for codes in self.codes:
            codes.extend([-1] * len(kept))

    def _place(self, column: int, cell: object, number: int) -> int:
        """Place of a cell's value among the distinct ones; values of several types may be equal (1, True), so the type is part of what is looked up."""
        key = cell if type(cell) is str else (type(cell), cell)
        place = self.met[column].get(key)
        if place is None:
            value, values = clean(cell), self.values[column]
            place = self.met[column][key] = -1 if value is None else values.setdefault(value, len(values))
            if type(cell) is str and HALVES.search(cell):
                self.halved.setdefault(column, []).append(number)
        return place

    def halves_told(self, file: str, sheet: str | None) -> Iterator[Problem]:
        """One note per column with texts that hold half a sign, with the first row."""
        for column, numbers in sorted(self.halved.items()):
            yield Problem(what=f"{len(numbers):,} different {'text holds' if len(numbers) == 1 else 'texts hold'} half of a sign, kept as \ufffd", file=file,
                          sheet=sheet, row=numbers[0], column=self.headings[column],
                          remedy="The text was cut off or changed on its way: export it again if words are missing.")

    def frame(self) -> pd.DataFrame:
        """The cells as a frame of categoricals."""
        index = pd.Index(np.frombuffer(self.numbers, dtype=np.int64) if self.numbers else [], dtype="int64")
        held = {place: categorical(np.frombuffer(codes, dtype=np.int32) if codes else np.empty(0, dtype=np.int32), _objects(values))
                for place, (codes, values) in enumerate(zip(self.codes, self.values, strict=True))}
        cells = pd.DataFrame(held, index=index)
        cells.columns = pd.Index(self.headings, dtype=object)
        return cells if index.is_monotonic_increasing else cells.sort_index()


def headings_of(cells: Sequence[object], number: int, header_row: int, file: str, sheet: str | None) -> list[str]:
    """The headings of a row of cleaned cells, made different: nameless ones are 'column 3', repeated ones 'Date (2)'.

    Raises InputRefused where the row is not the one that should hold them, or empty.
    """
    names = [" ".join(str(cell).split()) if cell is not None else "" for cell in cells]
    while names and not names[-1]:
        names.pop()
    if number != header_row or not names:
        raise InputRefused(Problem(what=f"row {header_row} holds no headings", file=file, sheet=sheet, row=header_row,
                                   remedy="Mend header_row under [format] of its profile."))
    unique: list[str] = []
    for place, name in enumerate(names, start=1):
        name = name or f"column {place}"
        times, heading = 1, name
        while heading in unique:
            times += 1
            heading = f"{name} ({times})"
        unique.append(heading)
    return unique


def no_headings(file: str, sheet: str | None, header_row: int) -> InputRefused:
    """The refusal of a sheet that ends above its headings."""
    return InputRefused(Problem(what=f"there is no row {header_row} with headings", file=file, sheet=sheet, row=header_row,
                                remedy="Mend header_row under [format] of its profile."))


def too_many_cells(width: int, file: str, row: int) -> Problem:
    """A row with something beyond the last heading: a separator stands inside a text, so no cell of it is sure."""
    return Problem(what="more cells than headings", wanted=f"{width} cells", file=file, row=row,
                   remedy="Put the text that holds the separator in quotation marks; the row was refused.")


def one_per_row(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The first Problem of each row, in order of row."""
    first: dict[int, Problem] = {}
    for problem in problems:
        first.setdefault(int(problem.row or 0), problem)
    return tuple(first[row] for row in sorted(first))
