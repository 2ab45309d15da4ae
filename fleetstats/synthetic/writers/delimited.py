"""CSV files, every byte determined by the rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from fleetstats.synthetic.layout import Layout
from fleetstats.synthetic.rows import Row

QUOTING = {"minimal": csv.QUOTE_MINIMAL, "all": csv.QUOTE_ALL}


def write_delimited(path: Path, layout: Layout, rows: Sequence[Row], *, quoting: str = "minimal", extra: Sequence[str] = ()) -> None:
    """Write the rows under the layout's headings and number them as a person counts, headings in row 1.

    extra: headings that no profile maps; their cells are taken from the row's values of the same name.
    A furniture row carries its whole line in the value "line".
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=layout.format["delimiter"], quoting=QUOTING[quoting], lineterminator="\r\n")  # type: ignore[arg-type]
    headings = [*layout.columns, *extra]
    writer.writerow(headings)
    for number, row in enumerate(rows, start=2):
        row.number, row.file = number, path.name
        writer.writerow(line_of(layout, row, headings, extra))
    path.write_bytes(text.getvalue().encode(layout.format["encoding"]))


def line_of(layout: Layout, row: Row, headings: Sequence[str], extra: Sequence[str]) -> list[object]:
    """The cells of one line; a furniture row is padded to the width of the headings."""
    if row.fate == "furniture":
        line = list(str(row.values.get("line") or "").split("|"))
        return [*line, *[""] * (len(headings) - len(line))]
    cells = layout.cells(row)
    return [cells.get(heading, row.values.get(heading)) if heading not in extra else row.values.get(heading) for heading in headings]
