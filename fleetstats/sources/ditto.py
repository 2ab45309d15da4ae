"""Cells that say 'as above': filled from the row above where that is sure, told as inferred; else left empty with a Problem."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.errors import Problem
from fleetstats.sources.cell import distinct, is_missing
from fleetstats.sources.plain_values import worth_a_look
from fleetstats.sources.profile import TEXT_COLUMNS, Profile
from fleetstats.sources.raw_sheet import RawSheet, categorical

MARKS = frozenset({'"', "''", "“", "”", "〃", ",,", "ditto", "dito", "dto", "dto.", "as above", "see above", "wie oben", "comme ci-dessus", "voir ci-dessus"})
"""What a cell says that repeats the one above."""

BEFORE = frozenset({"same", "same as above", "idem", "do.", "see prev", "see prev.", "see previous", "as prev", "as previous", "voir précédent",
                    "siehe vorige"})
"""What may mean the row above or the vehicle's visit before: taken for the row above only where that row is of the same vehicle."""

LIKE_DITTO = "(?i)^(?:" + "|".join(sorted({re.escape(mark.split()[0]) for mark in MARKS | BEFORE})) + ")"
"""How the texts begin that may be one of these."""

NEVER = ("document", "price_basis", "note", "contact")
"""Columns beside serials, numbers, money and keys in which nothing is filled: a value there belongs to one row alone."""

REMEDY = "Write the value into the cell; it was left empty."


@dataclass(frozen=True, kw_only=True)
class Filled:
    """Cells without dittos. inferred: row -> column -> the row from which its value was taken; problems: one per ditto that was left empty."""

    cells: pd.DataFrame = field(repr=False)
    inferred: dict[int, dict[str, int]] = field(repr=False)
    problems: tuple[Problem, ...] = field(repr=False)

    def told(self, rows: pd.DataFrame) -> pd.Series:
        """What was taken from above, in words, by the index of the typed `rows`; a value that could not be read is not told."""
        kept = {row: {name: of for name, of in taken.items() if name not in rows or pd.notna(rows.at[row, name])}
                for row, taken in self.inferred.items() if row in rows.index}
        words = {row: "; ".join(f"{name} inferred: as in row {of} above" for name, of in taken.items()) for row, taken in kept.items() if taken}
        return pd.Series(words, index=rows.index, dtype="string")


def fill_dittos(cells: pd.DataFrame, raw: RawSheet, profile: Profile, file: str) -> Filled:
    """The records of a sheet with their dittos filled from the row above, in columns where that makes sense.

    cells: the rows that are records (furniture and doubtful rows parted). A ditto is filled where the row just above in the file is a record that will be
    kept and has a value of its own there; never in serials, numbers, money and identifiers of a row. In a mixed file the row above may be about other work:
    there only the vehicle is filled, which is the same whatever was done to it.
    """
    said = {heading: column for heading in cells.columns if (column := _column(cells[heading])) is not None}
    if not said:
        return Filled(cells=cells, inferred={}, problems=())
    above, columns = _above(cells, raw, profile), {" ".join(heading.split()): name for heading, name in profile.columns.items()}
    rows = cells.index.to_numpy()
    inferred: dict[int, dict[str, int]] = {}
    problems: list[Problem] = []
    filled = {heading: cells[heading] for heading in cells.columns}
    for heading, column in said.items():
        if heading not in columns:
            continue
        name, at = columns[heading], np.flatnonzero(column.marks[column.codes])
        may = name == "vehicle_id" if profile.mixed else _may_be_filled(name, profile)
        source = above[at] if may else np.full(len(at), -1)
        apart = column.before[column.codes[at]] & ~_same_vehicle(cells, profile, at, source)
        sure = (source >= 0) & column.own[column.codes[source]] & ~apart
        filled[heading] = column.taking(at, np.where(sure, column.codes[source], -1), cells.index)
        for row, of in zip(rows[at[sure]].tolist(), rows[source[sure]].tolist(), strict=True):
            inferred.setdefault(row, {})[name] = of
        left = zip(column.codes[at[~sure]].tolist(), rows[at[~sure]].tolist(), strict=True)
        problems += [_left(str(column.values[code]), row, heading, name, raw.sheet, file) for code, row in left]
    return Filled(cells=pd.DataFrame(filled, index=cells.index), inferred=inferred, problems=tuple(problems))


@dataclass(frozen=True)
class _Column:
    """A column with dittos: place of each row's value (-1: empty), the distinct values, and of each (the empty one last) whether it is a ditto, one that
    may mean the visit before, or a value of its own."""

    codes: np.ndarray
    values: list[object]
    marks: np.ndarray
    before: np.ndarray
    own: np.ndarray

    def taking(self, at: np.ndarray, codes: np.ndarray, index: pd.Index) -> pd.Series:
        """The column with other values in the rows `at`."""
        taken, held = self.codes.copy(), np.empty(len(self.values), dtype=object)
        taken[at], held[:] = codes, self.values
        return pd.Series(categorical(taken, held), index=index)


def _column(cells: pd.Series) -> _Column | None:
    """The column where it holds a ditto, else None."""
    codes, values = distinct(cells)
    if not any(_says(values[place], MARKS | BEFORE) for place in worth_a_look(values, LIKE_DITTO)):
        return None
    before = np.array([_says(value, BEFORE) for value in values] + [False], dtype=bool)
    marks = before | np.array([_says(value, MARKS) for value in values] + [False], dtype=bool)
    own = ~marks & np.array([not is_missing(value) for value in values] + [False], dtype=bool)
    return _Column(np.asarray(codes), values, marks, before, own)


def _says(value: object, words: frozenset[str]) -> bool:
    return isinstance(value, str) and len(value) < 24 and " ".join(value.lower().split()) in words


def _above(cells: pd.DataFrame, raw: RawSheet, profile: Profile) -> np.ndarray:
    """Place in `cells` of the row just above each row, -1 where that is no record that will be kept."""
    everything = np.sort(np.array([*raw.cells.index, *raw.blank, *raw.titles], dtype=np.int64))
    place = np.searchsorted(everything, cells.index.to_numpy())
    row_above = np.where(place > 0, everything[place - 1], -1)
    found = np.asarray(cells.index.get_indexer(pd.Index(row_above)))
    kept = np.ones(len(cells) + 1, dtype=bool)
    for heading in _headings(profile, _needed(profile)):
        kept[:-1] &= ~_held(cells[heading], is_missing, empty=True)
    return np.where(kept[found], found, -1)


def _needed(profile: Profile) -> Callable[[str], bool]:
    columns, key = profile.canonical.columns, profile.canonical.key
    return lambda name: name in columns and (not columns[name].nullable or name in key)


def _headings(profile: Profile, wanted: Callable[[str], bool]) -> list[str]:
    return [" ".join(heading.split()) for heading, name in profile.columns.items() if wanted(name)]


def _held(column: pd.Series, test: Callable[[object], bool], *, empty: bool) -> np.ndarray:
    codes, values = distinct(column)
    answers: np.ndarray = np.array([*map(test, values), empty], dtype=bool)[codes]
    return answers


def _same_vehicle(cells: pd.DataFrame, profile: Profile, at: np.ndarray, source: np.ndarray) -> np.ndarray:
    headings = _headings(profile, lambda name: name == "vehicle_id")
    if not headings:
        return np.zeros(len(at), dtype=bool)
    codes, _ = distinct(cells[headings[0]])
    same: np.ndarray = (codes[at] == codes[source]) & (codes[at] >= 0)
    return same


def _may_be_filled(name: str, profile: Profile) -> bool:
    if name in TEXT_COLUMNS:
        return True
    column = profile.canonical.columns.get(name)
    return (column is not None and column.kind in ("date", "bool", "string") and name not in profile.canonical.key and name not in NEVER
            and (name == "vehicle_id" or not name.endswith("_id")) and "serial" not in name)


def _left(text: str, row: int, heading: str, name: str, sheet: str | None, file: str) -> Problem:
    return Problem(what="refers to another row that does not settle it", found=text, wanted="the value itself", remedy=REMEDY, file=file, sheet=sheet,
                   row=row, column=heading, field=name)
