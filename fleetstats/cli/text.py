"""Plain text on standard output: pairs of words and small tables, aligned, without colour."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable, Sequence


def pairs(lines: Iterable[tuple[str, str]], width: int | None = None) -> str:
    """Label and sentence in two columns, sentences wrapped. width: of the line, the terminal's (at most 110) when left out."""
    lines = list(lines)
    label = max((len(name) for name, _ in lines), default=0) + 3
    room = (width or min(110, shutil.get_terminal_size((100, 24)).columns)) - label
    blocks = []
    for name, text in lines:
        wrapped = textwrap.wrap(text, max(30, room)) or [""]
        blocks += [f"{name:<{label}}{wrapped[0]}", *(f"{'':<{label}}{more}" for more in wrapped[1:])]
    return "\n".join(blocks)


def table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Columns two spaces apart; numbers to the right, the rest to the left."""
    return "\n".join(table_lines(heads, rows))


def table_lines(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> list[str]:
    """The lines of a `table`: that of the heads, then one for each row; a cell never breaks its line."""
    cells = [[_cell(value) for value in row] for row in rows]
    if not cells:
        return ["(none)"]
    widths = [max(len(head), *(len(row[place]) for row in cells)) for place, head in enumerate(heads)]
    right = [all(row[place].lstrip("+-")[:1].isdigit() or row[place] == "" for row in cells) for place in range(len(heads))]
    return [_line(row, widths, right) for row in [list(heads), *cells]]


def _cell(value: object) -> str:
    return "" if value is None else f"{value:,}" if isinstance(value, int) else " ".join(str(value).split())


def _line(row: list[str], widths: list[int], right: list[bool]) -> str:
    return "  ".join(f"{text:>{w}}" if r else f"{text:<{w}}" for text, w, r in zip(row, widths, right, strict=True)).rstrip()
