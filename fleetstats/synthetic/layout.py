"""How a file is written, read off its profile: headings, number and date formats, the shop's words for our values."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fleetstats.documents import read_toml
from fleetstats.synthetic.rows import Row, Value
from fleetstats.tables import INPUT_TABLES

DATES = {"mdy": "{d.month}/{d.day}/{d.year}", "dmy": "{d.day:02d}/{d.month:02d}/{d.year}", "ymd": "{d:%Y-%m-%d}"}
SIGNS = {"USD": "${}", "GBP": "{}", "AUD": "${}", "CAD": "{} $"}


@dataclass(frozen=True)
class Layout:
    """A profile turned round: from canonical values to cells."""

    name: str
    profile: dict[str, Any]

    @property
    def columns(self) -> dict[str, str]:
        """Heading to canonical column, in the order of the file."""
        columns: dict[str, str] = self.profile["columns"]
        return columns

    @property
    def format(self) -> dict[str, Any]:
        """The [format] of the profile."""
        return {"decimal": ".", "thousands": ",", "delimiter": ",", "encoding": "utf-8", "date_order": "ymd", "hours_unit": "hours", **self.profile["format"]}

    def cells(self, row: Row) -> dict[str, Value]:
        """The cells of a row by heading: text for a CSV file, numbers and dates for a workbook."""
        return {heading: self._cell(name, row.values.get(name)) for heading, name in self.columns.items()}

    def _cell(self, name: str, value: Value) -> Value:
        if value is None or value == "":
            return None
        word = self._word(name, value)
        if word is not None:
            return word
        if name == "labour_hours" and not isinstance(value, str) and self.format["hours_unit"] == "minutes":
            value = round(float(value) * 60)  # type: ignore[arg-type]
        if self.format["kind"] == "xlsx" or isinstance(value, str):
            return value
        return self._text(name, value)

    def _word(self, name: str, value: Value) -> str | None:
        words = self.profile.get("values", {}).get(name, {})
        return next((str(text) for text, meaning in words.items() if meaning == value), None)

    def _text(self, name: str, value: Value) -> str:
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, dt.date):
            return DATES[self.format["date_order"]].format(d=value)
        if isinstance(value, float) and self._is_money(name):
            sign = SIGNS[self.profile.get("money", {}).get("currency", "USD")]
            return sign.format(self._number(f"{value:,.2f}")).replace(" ", "\u00a0" if self.format["thousands"] == " " else " ")
        return self._number(f"{value:g}" if isinstance(value, float) else str(value))

    def _is_money(self, name: str) -> bool:
        column = INPUT_TABLES[self.profile.get("table", "visits")].columns.get(name)
        return column is not None and column.unit == "money of price_basis"

    def _number(self, text: str) -> str:
        marks = {",": self.format["thousands"], ".": self.format["decimal"]}
        return "".join(marks.get(letter, letter) for letter in text)


def read_layout(project: Path, name: str) -> Layout:
    """The layout of a profile of the project."""
    return Layout(name, read_toml(project / "profiles" / f"{name}.toml"))
