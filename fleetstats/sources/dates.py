"""Dates as shops write them, in the one order that the source's profile states."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata

from fleetstats.sources.cell import Fault, Parse

ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[t ].*)?")
YEAR_FIRST = re.compile(r"(\d{4})[./ ](\d{1,2})[./ ](\d{1,2})(?: \d{1,2}:.*)?")
COMPACT = re.compile(r"(19|20)(\d\d)(\d\d)(\d\d)")
SERIAL = re.compile(r"[2-6]\d{4}(?:\.\d+)?")
NUMBERS = re.compile(r"(\d{1,2})[-./ ](\d{1,2})[-./ ](\d{4}|\d{2})(?: \d{1,2}:.*)?")
DAY_NAME = re.compile(r"(\d{1,2})(?:st|nd|rd|th|er)?[-./ ]*([a-z]{3,})[-.,/ ]*(\d{4}|\d{2})?")
NAME_DAY = re.compile(r"([a-z]{3,})[-./ ]*(\d{1,2})(?:st|nd|rd|th)?[-.,/ ]*(\d{4}|\d{2})?")
WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun|lun|mar|mer|jeu|ven|sam|dim)[a-z]*[.,]? +(?=\d{1,2}(?:[a-z]{2})?[-./ ]+(?:[a-z]|\d+[-./ ]))")
SPREADSHEET_EPOCH = dt.date(1899, 12, 30)
DEFAULTS = frozenset({dt.date(1899, 12, 30), dt.date(1899, 12, 31), dt.date(1900, 1, 1), dt.date(1904, 1, 1), dt.date(1970, 1, 1), dt.date(9999, 12, 31)})
"""Days that programs write where nobody entered one."""

EARLIEST, LATEST = dt.date(1950, 1, 1), dt.date(2100, 12, 31)
MONTHS = {
    "jan": 1, "janv": 1, "january": 1, "janvier": 1, "feb": 2, "fev": 2, "fevr": 2, "february": 2, "fevrier": 2, "mar": 3, "mars": 3, "march": 3,
    "apr": 4, "avr": 4, "april": 4, "avril": 4, "may": 5, "mai": 5, "jun": 6, "june": 6, "juin": 6, "jul": 7, "july": 7, "juil": 7, "juillet": 7,
    "aug": 8, "august": 8, "aout": 8, "sep": 9, "sept": 9, "september": 9, "septembre": 9, "oct": 10, "october": 10, "octobre": 10,
    "nov": 11, "november": 11, "novembre": 11, "dec": 12, "december": 12, "decembre": 12,
}
WORDS = {"mdy": "month/day/year", "dmy": "day/month/year", "ymd": "year/month/day"}


def date_parser(order: str | None) -> Parse:
    """A parser of dates in one order ("mdy", "dmy", "ymd"); None: only dates that can be read in one way.

    ISO dates, dates with the name of a month, real spreadsheet dates and their serial numbers are read whatever the order.
    Two-digit years: 70 to 99 are 1970 to 1999, 00 to 69 are 2000 to 2069. The order is never swapped to save a date.
    """
    def parse(value: object) -> object:
        day = _native(value)
        if day is None:
            day = _text(str(value), order)
        return day if isinstance(day, Fault) else _plausible(day)
    return parse


def _native(value: object) -> dt.date | Fault | None:
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    if isinstance(value, bool | dt.time | dt.timedelta):
        return Fault(what="this is no date", wanted="a date")
    if isinstance(value, int | float):
        return SPREADSHEET_EPOCH + dt.timedelta(days=int(value)) if 0 <= value < 2_958_466 else Fault(what="this is no date", wanted="a date")
    return None


def _text(text: str, order: str | None) -> dt.date | Fault:
    text = "".join(letter for letter in unicodedata.normalize("NFKD", text.strip().lower()) if not unicodedata.combining(letter))
    text = WEEKDAY.sub("", text)
    if text in ("0", "00/00/0000", "00/00/00", "0000-00-00"):
        return Fault(what="a default, not a date", wanted="a date or nothing")
    if SERIAL.fullmatch(text):
        return SPREADSHEET_EPOCH + dt.timedelta(days=int(float(text)))
    if found := ISO.fullmatch(text) or YEAR_FIRST.fullmatch(text):
        return _day(found[1], found[2], found[3])
    if found := COMPACT.fullmatch(text):
        return _day(found[1] + found[2], found[3], found[4])
    if found := DAY_NAME.fullmatch(text):
        return _named(found[1], found[2], found[3])
    if found := NAME_DAY.fullmatch(text):
        return _named(found[2], found[1], found[3])
    if found := NUMBERS.fullmatch(text):
        return _ordered(found[1], found[2], found[3], order)
    return Fault(what="not read as a date", wanted="a date with day, month and year")


def _named(day: str, name: str, year: str | None) -> dt.date | Fault:
    month = MONTHS.get(name)
    if month is None:
        return Fault(what="not read as a date", wanted="the name of a month")
    if year is None:
        return Fault(what="a date without a year", wanted="a date with day, month and year")
    return _day(year, str(month), day)


def _ordered(first: str, second: str, third: str, order: str | None) -> dt.date | Fault:
    if order is None:
        if int(first) <= 12 and int(second) <= 12 and first != second:
            return Fault(what="an ambiguous date", wanted="an unambiguous date",
                         remedy='Set date_order = "mdy" or "dmy" under [format] of the profile; the cell was left empty.')
        order = "dmy" if int(first) > 12 else "mdy"
    if order == "ymd":
        return _day(first, second, third) if len(third) == 2 else Fault(what="not a date in the profile's order", wanted=WORDS[order])
    month, day = (first, second) if order == "mdy" else (second, first)
    return _day(third, month, day, order)


def _day(year: str, month: str, day: str, order: str | None = None) -> dt.date | Fault:
    full = int(year) if len(year) == 4 else int(year) + (1900 if int(year) >= 70 else 2000)
    try:
        return dt.date(full, int(month), int(day))
    except ValueError:
        return Fault(what="an impossible date", wanted=WORDS[order] if order else "a day of the calendar")


def _plausible(day: dt.date) -> dt.date | Fault:
    if day in DEFAULTS:
        return Fault(what="a default, not a date", wanted="a date or nothing")
    if not EARLIEST <= day <= LATEST:
        return Fault(what="a date out of reach", wanted=f"a date from {EARLIEST.year} to {LATEST.year}")
    return day
