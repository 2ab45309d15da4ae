"""Dates as shops write them, in the one order that the source's profile states."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from fleetstats.sources.cell import Fault, Parse
from fleetstats.sources.spreadsheet_days import EPOCHS, day_of_serial

ZONE = r"z|utc|gmt|(?P<sign>[+-])(?P<away>\d{2})(?::?(?P<away_minutes>\d{2})|(?(second)|(?!)))"
"""How far a clock is from UTC; hours alone only behind seconds, elsewhere they may be the end of a span."""

CLOCK = (r"(?:t|,? +)(?:at |a |um )?(?P<hour>\d{1,2})"
         r"(?::(?P<minute>\d{2})(?::(?P<second>\d{2})(?:\.\d{1,9})?)?|h(?P<behind_h>\d{0,2})|\.(?P<dotted>\d{2})(?= uhr)|(?= uhr| ?[ap]\.?m))"
         rf"(?: ?(?P<half>[ap])\.?m\.?)?(?: ?h| uhr)?(?: ?(?P<zone>{ZONE}))?")
"""A time of day behind a date."""

TIME = f"(?:{CLOCK})?"
"""The time of day is dropped, unless a time zone stands behind it (see MOMENT)."""

MOMENT = re.compile(f".*?{CLOCK}")

ISO = re.compile(rf"(\d{{4}})-(\d{{1,2}})-(\d{{1,2}}){TIME}")
YEAR_FIRST = re.compile(rf"(\d{{4}})[./ ](\d{{1,2}})[./ ](\d{{1,2}}){TIME}")
COMPACT = re.compile(r"((?:19|20)\d\d)(\d\d)(\d\d)(?:\.0)?")
SERIAL = re.compile(r"[1-6]\d{4}(?:\.\d{1,12})?")
NUMBERS = re.compile(rf"(\d{{1,2}})[-./ ](\d{{1,2}})[-./ ](\d{{4}}|\d{{2}}){TIME}")
DAY_NAME = re.compile(rf"(\d{{1,2}})(?:st|nd|rd|th|er|e)?[-./ ]*([a-z]{{3,}})(?:[-.,/' ]*(\d{{4}}|\d{{2}})){{0,1}}{TIME}")
NAME_DAY = re.compile(rf"([a-z]{{3,}})[-./ ]*(\d{{1,2}})(?:st|nd|rd|th)?(?:[-.,/' ]+(\d{{4}}|\d{{2}}))?{TIME}")
MONTH_YEAR = re.compile(r"(?:[a-z]{3,}[-./ ]*\d{4}|\d{1,2}[-/. ]\d{4}|\d{4}[-/. ]\d{1,2}|\d{4})")
WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun|lun|mar|mer|jeu|ven|sam|dim"
                     r"|montag|dienstag|mittwoch|donnerstag|freitag|samstag|sonntag|mo|di|mi|do|fr|sa|so)"
                     r"(?:day|sday|nesday|rsday|urday|rs|s|di|credi|dredi|edi|anche)?[.,]? +(?=\d{1,2}(?:[a-z]{2})?[-./ ]+(?:[a-z]|\d{1,2}[-./ ]))")
DEFAULTS = frozenset({dt.date(1899, 12, 30), dt.date(1899, 12, 31), dt.date(1900, 1, 1), dt.date(1904, 1, 1), dt.date(1970, 1, 1), dt.date(9999, 12, 31)})
"""Days that programs write where nobody entered one."""

EARLIEST, LATEST = dt.date(1950, 1, 1), dt.date(2100, 12, 31)
NOON, NO_HOUR = 12, 24
PIVOT = 70
"""Two digits from here on are a year of 1900, below one of 2000, unless the profile's coverage says otherwise."""

MONTHS = {
    "jan": 1, "janv": 1, "january": 1, "janvier": 1, "januar": 1, "janner": 1, "feb": 2, "fev": 2, "fevr": 2, "february": 2, "fevrier": 2, "februar": 2,
    "mar": 3, "mars": 3, "march": 3, "marz": 3, "mrz": 3, "apr": 4, "avr": 4, "april": 4, "avril": 4, "may": 5, "mai": 5, "jun": 6, "june": 6, "juin": 6,
    "juni": 6, "jul": 7, "july": 7, "juil": 7, "juillet": 7, "juli": 7, "aug": 8, "august": 8, "aout": 8, "sep": 9, "sept": 9, "september": 9, "septembre": 9,
    "oct": 10, "october": 10, "octobre": 10, "okt": 10, "oktober": 10, "nov": 11, "november": 11, "novembre": 11, "dec": 12, "december": 12, "decembre": 12,
    "dez": 12, "dezember": 12,
}
WORDS = {"mdy": "month/day/year", "dmy": "day/month/year", "ymd": "year/month/day"}
WANTED = "a date with day, month and year"
NO_DATE = Fault(what="not read as a date", wanted=WANTED)
ZONE_REMEDY = 'Set time_zone = "..." (e.g. "America/Denver") under [format] of the profile; the cell was left empty.'
SYSTEM_REMEDY = 'Set date_system = "1900" (the usual one) or "1904" under [format] of the profile if such numbers are days; the cell was left empty.'
Span = tuple[dt.date | None, dt.date | None]


@dataclass(frozen=True, kw_only=True)
class DateCount:
    """How many dates can be read in one order only, and values that either order reads, two at most."""

    values: int
    only_dmy: int
    only_mdy: int
    open_values: tuple[str, ...] = ()

    @property
    def order(self) -> str | None:
        """The order that is proved; None where nothing proves one, or both are."""
        if self.only_dmy and not self.only_mdy:
            return "dmy"
        return "mdy" if self.only_mdy and not self.only_dmy else None


def count_dates(values: Iterable[object]) -> DateCount:
    """How many distinct values are dates of two numbers and a year, and how many of these can be read in one order only."""
    found = {value: match for value in values if isinstance(value, str) and (match := NUMBERS.fullmatch(value.strip().lower()))}
    pairs = {value: (int(match[1]), int(match[2])) for value, match in found.items()}
    return DateCount(values=len(found), only_dmy=sum(12 < one <= 31 and 0 < two <= 12 for one, two in pairs.values()),
                     only_mdy=sum(0 < one <= 12 < two <= 31 for one, two in pairs.values()),
                     open_values=tuple(str(value) for value, (one, two) in pairs.items() if 0 < one <= 12 and 0 < two <= 12 and one != two)[:2])


def only_midnights(values: Iterable[object]) -> bool:
    """Whether no value of a column shows a time of day other than midnight: so programs write days as moments."""
    texts = (value.isoformat(" ") if isinstance(value, dt.datetime) else value for value in values)
    found = (MOMENT.fullmatch(_folded(text)) for text in texts if isinstance(text, str))
    return all(_clock(moment) == (0, 0, 0) for moment in found if moment)


def date_parser(order: str | None, *, date_system: str | None = None, of_cells: str | None = None, time_zone: str | None = None,
                midnights: bool = False, covered: Span = (None, None), seen: DateCount | None = None) -> Parse:
    """A parser of dates in one order ("mdy", "dmy", "ymd"); None: only dates that can be read in one way.

    ISO dates, dates with the name of a month (English, French, German) and real spreadsheet dates are read whatever the order; a time of day is dropped.
    The order is never swapped to save a date. date_system ("1900", "1904"): what bare numbers of days are counted from, as the profile says; of_cells: the
    same of numbers that are no texts, as their workbook says. A bare number of which neither is known is a fault. See `spreadsheet_days`.
    time_zone: a moment with a time zone ('2023-07-04T02:30:00Z') is a day of this one (IANA name). Without it a moment with an offset is of the day that is
    written, its writer's own; one in UTC is a fault, since its day depends on the place, unless it is midnight: so days are written as moments.
    midnights: no value of the column shows another time (see `only_midnights`), so that midnight in UTC is the day that is written in every time zone;
    otherwise one that time_zone puts into the evening before is a fault.
    Two-digit years: 70 to 99 are 1970 to 1999, 00 to 49 are 2000 to 2049; 50 to 69 may be either century. `covered` (first and last day of the source)
    settles a year of which one reading alone lies in it. seen: what the column's other values prove, told in the remedy of an ambiguous one.
    """
    reader = _Reader(order, date_system, date_system or of_cells, ZoneInfo(time_zone) if time_zone else None, midnights, covered,
                     _remedy(seen))

    def parse(value: object) -> object:
        day = reader.native(value)
        if day is None:
            day = reader.text(_folded(str(value)))
        return day if isinstance(day, Fault) else _plausible(day)
    return parse


def _remedy(seen: DateCount | None) -> str:
    order = seen.order if seen else None
    if seen is None or order is None:
        return 'Set date_order = "mdy" or "dmy" under [format] of the profile; the cell was left empty.'
    count, words = (seen.only_dmy, "day-month-year") if order == "dmy" else (seen.only_mdy, "month-day-year")
    return f'{count} other values of this column can only be {words}: set date_order = "{order}" if that holds for all; the cell was left empty.'


def _folded(text: str) -> str:
    text = "".join(letter for letter in unicodedata.normalize("NFKD", text.strip().lower()) if not unicodedata.combining(letter))
    return WEEKDAY.sub("", text) if text.isascii() else text


@dataclass(frozen=True)
class _Reader:
    """The reading of one date; see `date_parser`."""

    order: str | None
    of_texts: str | None
    of_cells: str | None
    zone: ZoneInfo | None
    midnights: bool
    covered: Span
    remedy: str

    def native(self, value: object) -> dt.date | Fault | None:
        """A cell that is a date or a number already; None for a text."""
        if isinstance(value, dt.datetime):
            return value.date() if value.tzinfo is None else self.text(_folded(value.isoformat(" ")))
        if isinstance(value, dt.date):
            return value
        if isinstance(value, bool | dt.time | dt.timedelta):
            return Fault(what="this is no date", wanted="a date")
        if not isinstance(value, int | float):
            return None
        if COMPACT.fullmatch(str(value)):
            return self.text(str(value))
        return day_of_serial(value, self.of_cells) if self.of_cells else _bare_number(value)

    def text(self, text: str) -> dt.date | Fault:
        """A date written as text, folded."""
        if not text.isascii():
            return NO_DATE
        if text in ("0", "00/00/0000", "00/00/00", "0000-00-00"):
            return Fault(what="a default, not a date", wanted="a date or nothing")
        if SERIAL.fullmatch(text):
            return day_of_serial(float(text), self.of_texts) if self.of_texts else _bare_number(float(text))
        day = self._written(text)
        return self._there(day, found) if isinstance(day, dt.date) and (found := MOMENT.fullmatch(text)) and found["zone"] else day

    def _written(self, text: str) -> dt.date | Fault:
        """The day as it is written, whatever clock it is of."""
        if found := ISO.fullmatch(text) or YEAR_FIRST.fullmatch(text) or COMPACT.fullmatch(text):
            return self._day(found[1], found[2], found[3])
        if (found := DAY_NAME.fullmatch(text)) and found[2] in MONTHS:
            return self._named(found[1], found[2], found[3])
        if (found := NAME_DAY.fullmatch(text)) and found[1] in MONTHS:
            return self._named(found[2], found[1], found[3])
        if found := NUMBERS.fullmatch(text):
            return self._ordered(found[1], found[2], found[3])
        return Fault(what="a month or a year, not a day", wanted=WANTED) if MONTH_YEAR.fullmatch(text) else NO_DATE

    def _there(self, day: dt.date, found: re.Match[str]) -> dt.date | Fault:
        """The day of a moment with a time zone, in the zone of the profile."""
        away = dt.timedelta(hours=int(found["away"] or 0), minutes=int(found["away_minutes"] or 0)) * (-1 if found["sign"] == "-" else 1)
        clock = _clock(found)
        if self.zone is None:
            return day if away or clock == (0, 0, 0) else Fault(what="a moment in UTC, whose day depends on the place", wanted="a day", remedy=ZONE_REMEDY)
        try:
            there = dt.datetime(day.year, day.month, day.day, *clock, tzinfo=dt.timezone(away)).astimezone(self.zone).date()
        except (ValueError, OverflowError):
            return Fault(what="no time of a day", wanted=WANTED)
        if there == day or away or clock != (0, 0, 0):
            return there
        return day if self.midnights else Fault(what="midnight in UTC among other times: a day, or a moment of the evening before", wanted="a day",
                                                remedy="Write the day without a time; the cell was left empty.")

    def _named(self, day: str, name: str, year: str | None) -> dt.date | Fault:
        if year is None:
            return Fault(what="a date without a year", wanted=WANTED)
        if self.order == "ymd" and len(year) == 2 and day != year:
            return self._ambiguous([self._day(year, str(MONTHS[name]), day), self._day(day, str(MONTHS[name]), year)], WORDS["ymd"])
        return self._day(year, str(MONTHS[name]), day)

    def _ordered(self, first: str, second: str, third: str) -> dt.date | Fault:
        if self.order == "ymd":
            return self._day(first, second, third, "ymd") if len(third) == 2 else Fault(what="not a date in the profile's order", wanted=WORDS["ymd"])
        readings = {"dmy": (third, second, first), "mdy": (third, first, second)} | ({"ymd": (first, second, third)} if len(third) == 2 else {})
        if self.order:
            return self._day(*readings[self.order], self.order)
        return self._ambiguous([self._day(*reading) for reading in readings.values()], "an unambiguous date")

    def _ambiguous(self, readings: list[dt.date | Fault], wanted: str) -> dt.date | Fault:
        """The one day that can be meant, or a fault that names them."""
        days = list(dict.fromkeys(day for day in readings if isinstance(day, dt.date) and EARLIEST <= day <= LATEST))
        if len(days) == 1:
            return days[0]
        if not days:
            return readings[0] if isinstance(readings[0], Fault) else Fault(what="an impossible date", wanted="a day of the calendar")
        told = " or ".join(f"{day.day} {day:%B %Y}" for day in days)
        return Fault(what=f"an ambiguous date: {told}", wanted=wanted, remedy=self.remedy)

    def _day(self, year: str, month: str, day: str, order: str | None = None) -> dt.date | Fault:
        full = int(year) if len(year) == 4 else self._century(int(year))
        if isinstance(full, Fault):
            return full
        try:
            return dt.date(full, int(month), int(day))
        except ValueError:
            return Fault(what="an impossible date", wanted=WORDS[order] if order else "a day of the calendar")

    def _century(self, year: int) -> int | Fault:
        """The year that two digits mean."""
        first, last = self.covered
        both = [1900 + year, 2000 + year]
        inside = [full for full in both if first and last and first.year <= full <= last.year]
        if len(inside) == 1:
            return inside[0]
        if len(inside) == 2 or EARLIEST.year <= both[0] < 1900 + PIVOT:
            return Fault(what=f"a year of either century: {both[0]} or {both[1]}", wanted="a year of four digits",
                         remedy="Write the year with four digits, or state [coverage] in the profile; the cell was left empty.")
        return both[0] if year >= PIVOT else both[1]


def _clock(found: re.Match[str]) -> tuple[int, int, int]:
    """Hour, minute and second of a CLOCK; an hour before noon that is after it is none."""
    hour, half = int(found["hour"]), found["half"]
    if half and hour <= NOON:
        hour = hour % NOON + (NOON if half == "p" else 0)
    elif half == "a":
        hour = NO_HOUR
    return hour, int(found["minute"] or found["behind_h"] or found["dotted"] or 0), int(found["second"] or 0)


def _bare_number(value: float) -> Fault:
    """The fault of a number that may be a day of a spreadsheet, by either system, where nothing says so."""
    days = [day_of_serial(value, system) for system in EPOCHS]
    if not all(isinstance(day, dt.date) and EARLIEST <= day <= LATEST for day in days):
        return Fault(what="this is no date", wanted=WANTED)
    told = " or ".join(f"{day.day} {day:%B %Y} ({system})" for day, system in zip(days, EPOCHS, strict=True) if isinstance(day, dt.date))
    return Fault(what=f"a bare number; counted as a spreadsheet counts days it is {told}", wanted=WANTED, remedy=SYSTEM_REMEDY)


def _plausible(day: dt.date) -> dt.date | Fault:
    if day in DEFAULTS:
        return Fault(what="a default, not a date", wanted="a date or nothing")
    if not EARLIEST <= day <= LATEST:
        return Fault(what="a date out of reach", wanted=f"a date from {EARLIEST.year} to {LATEST.year}")
    return day
