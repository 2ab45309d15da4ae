"""The profile of a layout, as a person would finish it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import accumulate

from tests.drawn.layout import Layout

NOTE = "complaint_text"
UNREAD = ("odometer",)


def profile_text(layout: Layout, patterns: list[str], *, mixed: bool = False, sheets: tuple[str, ...] = (), widths: Sequence[int] = ()) -> str:
    """TOML of the profile for the files that match `patterns`. widths: of the columns of a fixed-width file, the gaps included."""
    parts = [f"files = {json.dumps(patterns)}", f"mixed = {json.dumps(mixed)}", "reporting_days = 5", "", "[format]", f'kind = "{layout.kind}"']
    if layout.kind == "csv":
        parts += [f"delimiter = {json.dumps(layout.delimiter)}", f'encoding = "{layout.encoding}"']
    if layout.kind == "xlsx":
        parts += [f"header_row = {layout.titles + 1}", f"sheets = {json.dumps(list(sheets))}"]
    parts += [f'decimal = "{layout.decimal}"', f'thousands = "{layout.thousands}"', f'date_order = "{layout.date_order}"']
    parts += [f'hours_unit = "{"minutes" if layout.hours == "minutes" else "hours"}"', "", "[money]"]
    parts += [f'currency = "{layout.currency}"', f'tax = "{layout.tax}"']
    parts += [f"tax_rate = {layout.tax_rate}"] if layout.tax == "gross" else []
    if widths:
        ends = list(accumulate(widths))
        parts += ["", "[format.positions]"]
        parts += [f"{_quoted(heading)} = [{end - width + 1}, {end}]" for heading, end, width in zip(layout.headings.values(), ends, widths, strict=True)]
    parts += ["", "[columns]"]
    parts += [f"{_quoted(heading)} = {json.dumps(NOTE if name == 'note' else name)}" for name, heading in layout.headings.items() if name not in UNREAD]
    parts += ["", "[constants]", f"shop = {json.dumps(layout.shop)}"]
    for column, values in layout.values.items():
        if column in layout.headings:
            parts += ["", f"[values.{column}]", *(f"{_quoted(text)} = {json.dumps(value)}" for value, text in values.items())]
    return "\n".join([*parts, ""])


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
