"""Headings of several rows, and merged cells: one value that stands for several."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.masking import listed
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, clean, headings_of
from fleetstats.sources.workbook_facts import Range

NumberedRows = Iterator[tuple[int, Sequence[object]]]


def joined_headings(rows: NumberedRows, merged: Sequence[Range], layout: Format) -> NumberedRows:
    """The rows with those of the headings made one: merged headings stand over each of their columns, and the parts of a column are joined from above."""
    first, last = layout.header_row, layout.header_row + layout.heading_rows - 1
    held: list[list[object]] = []
    for number, row in rows:
        if not first <= number <= last:
            yield number, row
            continue
        held.append(list(row))
        if number == last:
            yield first, _joined(held, [span for span in merged if first <= span[0][0] + 1 <= last], first)


def _joined(rows: list[list[object]], merged: Sequence[Range], first: int) -> list[object]:
    width = max(len(row) for row in rows)
    cells = [[clean(cell) for cell in row] + [None] * (width - len(row)) for row in rows]
    for (top, left), (_, right) in merged:
        above = cells[top - first + 1]
        for column in range(left + 1, min(right, width - 1) + 1):
            above[column] = above[left]
    parts = [list(dict.fromkeys(str(row[column]) for row in cells if row[column] is not None)) for column in range(width)]
    return [" ".join(names) or None for names in parts]


def spread(rows: NumberedRows, merged: Sequence[Range], layout: Format, notes: list[Problem], *, sheet: str, file: str) -> NumberedRows:
    """The rows with the cells of layout.fill_down that are merged over several rows repeated in each of them; others are told in `notes`.

    An empty cell that is not merged stays empty, for it may mean that nothing was recorded; where fill_down fills nothing at all see `unmerged`.
    Raises InputRefused where fill_down names a heading that the sheet does not have.
    """
    below = layout.header_row + layout.heading_rows - 1
    tall = _tall(merged, layout)
    names: list[str] = []
    tops: dict[tuple[int, int], tuple[int, int]] = {}
    values: dict[tuple[int, int], object] = {}
    for number, row in rows:
        if number == layout.header_row:
            names = headings_of([clean(cell) for cell in row], number, number, file, sheet)
            tops = _tops(tall, names, layout, notes, sheet=sheet, file=file)
        elif number > below and tops:
            row = list(row)
            for column in range(len(names)):
                place = (number - 1, column)
                if place in tops and column < len(row):
                    values.setdefault(tops[place], row[column] if tops[place] == place else None)
                    row[column] = values[tops[place]]
        yield number, row


def _tall(merged: Sequence[Range], layout: Format) -> list[Range]:
    """Ranges below the headings that are merged over several rows."""
    below = layout.header_row + layout.heading_rows - 1
    return [span for span in merged if span[1][0] > span[0][0] and span[0][0] >= below]


def unmerged(headings: Sequence[str], merged: Sequence[Range], layout: Format) -> tuple[str, ...]:
    """Headings of layout.fill_down below which no cells are merged over several rows."""
    filled = {column for (_, left), (_, right) in _tall(merged, layout) for column in range(left, right + 1)}
    return tuple(name for column, name in enumerate(headings) if name in layout.fill_down and column not in filled)


def unfilled(cells: pd.DataFrame, raw: RawSheet, file: str) -> list[Problem]:
    """That fill_down fills none of the empty cells of a column, with the first of its records that has one. cells: the records of the sheet."""
    first = {heading: cells.index[cells[heading].isna()] for heading in raw.unmerged}
    return [Problem(what="no cells of it are merged, so that fill_down fills none of the empty ones", file=file, sheet=raw.sheet, row=int(rows[0]),
                    column=heading, remedy="Write the value into each row, or take it out of fill_down under [format].")
            for heading, rows in first.items() if len(rows)]


def _tops(tall: Sequence[Range], names: list[str], layout: Format, notes: list[Problem], *, sheet: str, file: str) -> dict[tuple[int, int], tuple[int, int]]:
    """Every place of a tall merged cell that is to be filled -> its topmost place."""
    strange = [name for name in layout.fill_down if name not in names]
    if strange:
        raise InputRefused(Problem(what=f"there is no column '{strange[0]}' to fill down", file=file, sheet=sheet, wanted=f"one of: {listed(names)}",
                                   remedy="Mend fill_down under [format] of its profile."))
    tops: dict[tuple[int, int], tuple[int, int]] = {}
    told: set[str] = set()
    for (top, left), (bottom, right) in tall:
        for column in range(left, min(right, len(names) - 1) + 1):
            if names[column] in layout.fill_down:
                tops |= {(row, column): (top, left) for row in range(top, bottom + 1)}
            elif names[column] not in told:
                told.add(names[column])
                notes.append(Problem(what="cells are merged over several rows; only the first of these has the value", file=file, sheet=sheet, row=top + 1,
                                     column=names[column], remedy=f'If it holds for each of them, add fill_down = ["{names[column]}"] under [format].'))
    return tops
