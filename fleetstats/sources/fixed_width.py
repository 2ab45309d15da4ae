"""Fixed width: cells that stand at the same places of every line, as the profile states them."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.delimited import refuse_endless_line
from fleetstats.sources.encodings import decoded, find_encoding
from fleetstats.sources.masking import mask
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, raw_sheet_of_rows

MEND = "Mend [format.positions] of the profile; places are counted from 1."


def read_fixed_width(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The one sheet of a file whose cells stand at the places of layout.positions.

    A line that fills nothing but layout.continued goes on with the text of the line above it. A line with text outside all places is doubtful.
    Raises InputRefused for a wrong encoding, a tab (its width is not stated), a line without end, and headings that do not stand where they should.
    """
    found = find_encoding(data, file, layout.encoding)
    refuse_endless_line(data, file)
    text = decoded(data, file, found, layout.encoding)
    doubtful: list[Problem] = []
    rows = _joined(_cut(text, file, layout, doubtful), layout)
    headed = layout if layout.header_row else layout.model_copy(update={"header_row": 1})
    first = [] if layout.header_row else [(1, list(layout.positions))]
    return [raw_sheet_of_rows([*first, *rows], sheet=None, file=file, layout=headed, doubtful=doubtful, notes=[found.told] if found.told else [])]


def _cut(text: str, file: str, layout: Format, doubtful: list[Problem]) -> Iterator[tuple[int, list[str]]]:
    """Every line cut at its places; the line of the headings is held against the names of the profile."""
    for number, line in enumerate(io.StringIO(text, newline=None), start=1):
        line = line.rstrip("\n\f\x1a")
        if number < layout.header_row:
            yield number, []
            continue
        if "\t" in line:
            raise InputRefused(Problem(what="a tab stands in the line, so that places cannot be counted", file=file, row=number,
                                       remedy="Export it with blanks in place of tabs, or read it as kind = \"csv\" with delimiter = \"\\t\"."))
        cells = [line[first - 1:last].strip() for first, last in layout.positions.values()]
        if number == layout.header_row:
            _hold_headings(cells, layout.positions, file, number)
            cells = list(layout.positions)
        elif _outside(line, sorted(layout.positions.values())):
            doubtful.append(Problem(what="text stands outside the places of all cells", file=file, row=number,
                                    remedy=f"The row was refused. {MEND}"))
        yield number, cells


def _hold_headings(cells: Sequence[str], positions: Mapping[str, tuple[int, int]], file: str, row: int) -> None:
    """Raises InputRefused where the file's own headings are not those of the profile: its places would be wrong for every line."""
    problems = [Problem(what=f"at places {first} to {last} stands another heading", file=file, row=row, column=heading, found=mask(" ".join(cell.split())),
                        wanted=f"'{heading}'", remedy=MEND)
                for cell, (heading, (first, last)) in zip(cells, positions.items(), strict=True) if " ".join(cell.split()) != " ".join(heading.split())]
    if problems:
        raise InputRefused(problems)


def _outside(line: str, places: Sequence[tuple[int, int]]) -> bool:
    """Whether a line has text that belongs to no cell; places in order."""
    ends = [0, *(last for _, last in places)]
    begins = [*(first - 1 for first, _ in places), len(line)]
    return any(line[end:begin].strip() for end, begin in zip(ends, begins, strict=True))


def _joined(rows: Iterator[tuple[int, list[str]]], layout: Format) -> Iterator[tuple[int, list[str]]]:
    """Lines that go on with a text joined to the line they belong to."""
    goes_on = [heading in layout.continued for heading in layout.positions]
    held: tuple[int, list[str]] | None = None
    for number, cells in rows:
        filled = [bool(cell) for cell in cells] or [False] * len(goes_on)
        below = held is not None and held[0] > layout.header_row and any(held[1]) and any(filled)
        if held is not None and below and all(may >= full for may, full in zip(goes_on, filled, strict=True)):
            held = (held[0], [f"{old} {new}".strip() for old, new in zip(held[1], cells, strict=True)])
            continue
        if held is not None:
            yield held
        held = (number, cells)
    if held is not None:
        yield held
