"""How one shop's file is dressed: columns, headings, kind of file, dates, numbers, words of coded columns; all drawn."""

from __future__ import annotations

import datetime as dt
import random
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

DATES = {
    "us": ("%m/%d/%Y", "%m/%d/%y", "%-m/%-d/%Y", "%Y-%m-%d"), "uk": ("%d/%m/%Y", "%d/%m/%y", "%d-%b-%Y", "%d.%m.%Y"),
    "au": ("%d/%m/%Y", "%-d/%m/%Y", "%d/%m/%y"),
    "ca": ("%Y-%m-%d", "%m/%d/%Y", "%d/%m/%Y"), "fr": ("%Y-%m-%d", "%d/%m/%Y"), "de": ("%d.%m.%Y", "%d.%m.%y"),
}
MONEY = {"us": ("USD", 0.0), "uk": ("GBP", 0.20), "au": ("AUD", 0.10), "ca": ("CAD", 0.05), "fr": ("CAD", 0.05), "de": ("EUR", 0.19)}
"""Currency and rate of the recoverable tax by region."""

SIGNS = {"USD": "$", "GBP": "£", "AUD": "$", "CAD": "$", "EUR": ""}
ORDERS = {"%m": "mdy", "%-m": "mdy", "%d": "dmy", "%-d": "dmy", "%Y": "ymd"}
HOURS = ("decimal", "decimal", "decimal", "colon", "minutes", "h", "words", "fraction")
STYLES = ("three", "three", "marks", "run on", "two")
"""How the complaint, the cause and the correction stand: three columns, one with 'found:' and 'did:', one without marks, two columns."""

PLACES = {
    "Harbour workshop": "us", "Prairie workshop": "us", "Roadside van": "us", "Millpond workshop": "uk", "Canal workshop": "uk", "Redfield workshop": "au",
    "Lakeside workshop": "au", "Hilltop workshop": "ca", "Atelier Rivage": "fr", "Werkstatt am Wehr": "de", "Orchard workshop": "us", "Quarry workshop": "uk",
}
"""Shops and the region whose habits they have."""


@dataclass(frozen=True)
class Layout:
    """The dress of one shop's files. headings: canonical (or helper) column -> heading, in the order of the file."""

    shop: str
    region: str
    kind: str
    delimiter: str
    encoding: str
    suffix: str
    dates: str
    decimal: str
    thousands: str
    currency: str
    tax: str
    tax_rate: float
    sign: str
    hours: str
    style: str
    case: str
    headings: dict[str, str]
    values: dict[str, dict[str, str]]
    titles: int
    serial: str
    totals: bool
    vehicle: str
    ditto: str
    breaks: bool

    @property
    def stem(self) -> str:
        """Name of the profile and first part of the names of its files."""
        return self.shop.lower().replace(" ", "_")

    @property
    def date_order(self) -> str:
        """Order of day and month in the dates."""
        return ORDERS[self.dates[:3] if self.dates[:2] == "%-" else self.dates[:2]]

    def date(self, day: dt.date | None) -> str:
        """A day as the file writes it."""
        return day.strftime(self.dates) if day else ""

    def money(self, amount: float | None) -> str:
        """A net amount as the file states and writes it."""
        if amount is None:
            return ""
        stated = amount * (1 + self.tax_rate) if self.tax == "gross" else amount
        text = f"{abs(stated):,.2f}".replace(",", "t").replace(".", self.decimal).replace("t", self.thousands)
        minus = "-" if stated < -0.004 else ""
        return f"{minus}{text} {self.sign}" if self.sign and self.region == "fr" else f"{minus}{self.sign}{text}"

    def time(self, tenths: int) -> str:
        """Tenths of an hour as the file writes them."""
        minutes = tenths * 6
        if self.hours == "minutes":
            return str(minutes)
        if self.hours == "colon":
            return f"{minutes // 60}:{minutes % 60:02d}"
        if self.hours == "h":
            return f"{minutes // 60}h{minutes % 60:02d}"
        if self.hours == "fraction" and tenths % 10 == 5:
            return f"{tenths // 10} 1/2".removeprefix("0 ")
        number = f"{tenths / 10:g}".replace(".", self.decimal)
        return f"{number} hrs" if self.hours == "words" else number

    def word(self, column: str, value: str | None) -> str:
        """A canonical value in the words of the shop."""
        return self.values[column].get(value, value) if value else ""

    def cased(self, text: str) -> str:
        """A text with the capitals of the shop."""
        return text.upper() if self.case == "upper" else text[:1].upper() + text[1:] if self.case == "sentence" else text


@cache
def headings() -> dict[str, Any]:
    """The word lists of headings and coded columns."""
    return tomllib.loads(Path(__file__).with_name("headings.toml").read_text(encoding="utf-8"))


def draw_layout(dice: random.Random, shop: str, kinds: Mapping[str, float]) -> Layout:
    """A layout for the shop. kinds: weights of "csv", "fixed", "xlsx", "json", "parquet", and of "csv.gz" and "json.gz" for packed ones."""
    region = PLACES[shop]
    named = dice.choices(list(kinds), list(kinds.values()))[0]
    kind, packed = named.removesuffix(".gz"), named.endswith(".gz")
    continental = region == "de" or (region == "fr" and dice.random() < 0.8)
    currency, rate = MONEY[region]
    gross = rate > 0 and dice.random() < 0.3
    decimal = "," if continental else "."
    thousands = dice.choice((" ", "") if region == "fr" else (".", "")) if continental else dice.choice((",", ""))
    style = dice.choice(STYLES)
    columns = _columns(dice, style)
    hours = dice.choice(HOURS) if "labour_hours" in columns else "decimal"
    delimiter = dice.choice(";\t") if continental else dice.choice(",,\t;|")
    return Layout(
        shop, region, kind, delimiter, dice.choice(("utf-8", "utf-8", "utf-8-sig", "cp1252", "utf-16")) if kind == "csv" else "utf-8",
        ".gz" if packed else "", dice.choice(DATES[region]),
        decimal, thousands, currency, "gross" if gross else "net",
        rate if gross else 0.0, dice.choice((SIGNS[currency], "", "")), hours, style, dice.choice(("lower", "lower", "upper", "sentence")),
        _named(dice, region, columns), _spelled(dice), dice.choice((0, 0, 2, 4)) if kind == "xlsx" else 0,
        dice.choice(("plain", "plain", "dash", "space", "prefix", "lower")), kind in ("csv", "xlsx", "fixed") and dice.random() < 0.5,
        dice.choice(("plain", "plain", "dash", "space", "lower", "short")),
        dice.choice(("", "", "", "ditto", '"', "as above")), kind == "csv" and dice.random() < 0.4,
    )


def _columns(dice: random.Random, style: str) -> list[str]:
    """The columns that exist, in the order of the file."""
    texts = {"three": ["complaint_text", "cause_text", "correction_text"], "two": ["complaint_text", "correction_text"]}.get(style, ["note"])
    days = ["complaint_on", "opened_on", "date_in", "date_out"]
    dated = dice.choice(([days[1], days[3]], days[2:], days[1:], days))
    sums = ["parts_cost", "labour_cost", "other_cost", "total_cost"]
    money = dice.choice((sums[3:], [*sums[:2], sums[3]], sums))
    likely = {"status": 0.5, "technician": 0.6, "labour_hours": 0.8, "payer": 0.8, "removal_reason": 0.35, "fitted_kind": 0.25, "fitted_origin": 0.4,
              "detection": 0.3, "reported_on": 0.3, "contact": 0.3, "odometer": 0.3, "readings_text": 0.3}
    more = [name for name, chance in likely.items() if dice.random() < chance]
    serials = ["removed_serial", "fitted_serial"] if dice.random() < 0.9 else []
    blocks = [["document"], dated, ["vehicle_id"], texts, money, serials, *([name] for name in more)]
    dice.shuffle(blocks)
    columns = [name for block in blocks for name in block]
    return ["document", *(name for name in columns if name != "document")] if dice.random() < 0.6 else columns


def _named(dice: random.Random, region: str, columns: list[str]) -> dict[str, str]:
    """Every column with a heading of its own."""
    named: dict[str, str] = {}
    for column in columns:
        free = [text for text in headings()[region if region in ("fr", "de") else "en"][column] if text not in named.values()]
        named[column] = dice.choice(free) if free else column
    return named


def _spelled(dice: random.Random) -> dict[str, dict[str, str]]:
    """The shop's words for coded values, no two alike."""
    spelled = {}
    for column, values in headings()["values"].items():
        spelled[column] = {value: dice.choice(options) for value, options in values.items()}
    return spelled
