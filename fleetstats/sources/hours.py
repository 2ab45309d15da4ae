"""Hours of labour as shops write them: 1.5, 1:30, 1h30, 90m, 1 1/2, .3."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from fleetstats.sources.cell import Fault, Parse

CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::[0-5]\d)?(?:\s*(?:h|hrs?|hours?))?")
HOURS_MINUTES = re.compile(r"(\d{1,3})\s*(?:h|hr|hrs|hour|hours|heures?|std|stunden?)\.?\s*(?:and |et |und )?([0-5]?\d)\s*(?:m|mn|mins?|minutes?|minuten)?\.?")
HOURS = re.compile(r"(\d{0,3}[.,]?\d{1,4}|\d{1,3}[.,]?)\s*(?:h|hr|hrs|hour|hours|heures?|std|stunden?)\.?")
MINUTES = re.compile(r"(\d{1,4}(?:[.,]\d{1,2})?)\s*(?:m|mn|min|mins|minutes?|minuten|')\.?")
FRACTION = re.compile(r"(?:(\d{1,3})[ -]+)?(\d{1,2})/(\d{1,2})\s*(?:h|hr|hrs|hours?)?\.?")
BARE = re.compile(r"-?(?:\d{1,6}(?:[.,]\d{0,6})?|[.,]\d{1,6})")
LONGER = re.compile(r"\d*[.,](\d{3,})")
HUNDREDTHS = re.compile(r"\d*[.,](\d\d)")
TENTHS = re.compile(r"(\d*)[.,](\d)")
RANGE = re.compile(r"[\d.,:]+\s*(?:-|–|to|bis|à)\s*[\d.,:]+.*")
MOST_HOURS = 15.0
"""A bare whole number of hours above this is probably minutes."""
PARTS = (2, 3, 4, 5, 6, 8, 10)
"""Parts into which an hour is divided by a fraction; '3/9' is no time."""

WANTED = "hours such as 1.5 or 1:30"
SHARE_PROVED, FEWEST_PROVED = 0.1, 3
"""Share and number of the values with two digits behind the mark that must be no minutes before a draft takes the column for decimal: in a column of minutes
a slip of the pen is rarer, in one of hundredths a quarter or more are (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class PointCount:
    """How many distinct values have two digits behind the mark, and how many of these can be no minutes (1.75)."""

    values: int
    no_minutes: int

    @property
    def proved(self) -> bool:
        """Whether so many can be no minutes that the column counts hundredths; a single 1.75 may be a slip."""
        return self.no_minutes >= max(FEWEST_PROVED, SHARE_PROVED * self.values)


def count_points(values: Iterable[object]) -> PointCount:
    """How the values of a column that counts hours are written behind the mark."""
    found = [int(match[1]) for value in values if (match := HUNDREDTHS.fullmatch(str(value).strip()))]
    return PointCount(values=len(found), no_minutes=sum(digits >= 60 for digits in found))


def hours_parser(unit: str, point: str | None = None, seen: PointCount | None = None) -> Parse:
    """A parser of durations into hours.

    unit ("hours" or "minutes"): what a bare number means. point ("decimal" or "minutes"): what two digits behind the mark are in a file that
    counts hours, '1.30' being 1.3 h or 1 h 30; without it such a value is a fault where the two readings differ. Where they are minutes, a number 1.3 (a cell
    of a spreadsheet holds no last zero) is 1.30, the text '1.3' may be more than one duration, and '1.75' contradicts the profile: both are faults.
    Decimal point and decimal comma are both read: hours have no thousands. '.3' is three tenths of an hour, counted on a clock or by the flat-rate book.
    seen: what the column's other values prove, told in the remedy of an ambiguous one.
    """
    remedy = _remedy(seen)

    def parse(value: object) -> object:
        if isinstance(value, dt.timedelta):
            return value.total_seconds() / 3600 if value >= dt.timedelta(0) else Fault(what="a negative duration", wanted="hours from 0")
        if isinstance(value, dt.time):
            return value.hour + value.minute / 60
        if isinstance(value, bool | dt.date):
            return Fault(what="this is no duration", wanted=WANTED)
        if isinstance(value, int | float):
            return _bare(_digits(value, point), unit, point, remedy)
        return _text(_plain(str(value)), unit, point, remedy)
    return parse


def _remedy(seen: PointCount | None) -> str:
    if seen is None or not seen.no_minutes:
        return 'Set hours_point = "decimal" or "minutes" under [format] of the profile; the cell was left empty.'
    return (f"{seen.no_minutes} of {seen.values} such values of this column can be no minutes, as 1.75: set hours_point = \"decimal\" under [format] of the "
            "profile if that holds for all; the cell was left empty.")


def _digits(value: float, point: str | None) -> str:
    """A number as it was typed: where two digits behind the mark are minutes, 1.3 was 1.30."""
    text = f"{value:.6g}"
    return f"{text}0" if point == "minutes" and TENTHS.fullmatch(text) else text


def _plain(text: str) -> str:
    """Lower case, one-sign fractions such as '1½' as '1 1/2' (a compatibility fold alone would make it eleven halves)."""
    spaced = "".join(f" {sign}" if unicodedata.category(sign) == "No" else sign for sign in text)
    return unicodedata.normalize("NFKC", spaced).replace("\u2044", "/").strip().lower()


def _text(text: str, unit: str, point: str | None, remedy: str) -> float | Fault:
    if (found := CLOCK.fullmatch(text) or HOURS_MINUTES.fullmatch(text)) and text.isascii():
        return int(found[1]) + int(found[2]) / 60
    if found := HOURS.fullmatch(text):
        return _hours(found[1], point, remedy)
    if found := MINUTES.fullmatch(text):
        return _number(found[1]) / 60
    if (found := FRACTION.fullmatch(text)) and int(found[3]) in PARTS and int(found[2]) < int(found[3]):
        return float(int(found[1] or 0) + Fraction(int(found[2]), int(found[3])))
    if BARE.fullmatch(text):
        return _bare(text, unit, point, remedy)
    if RANGE.fullmatch(text):
        return Fault(what="a range, not one duration", wanted=WANTED)
    return Fault(what="not read as a duration", wanted=WANTED)


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _bare(text: str, unit: str, point: str | None, remedy: str) -> float | Fault:
    if not BARE.fullmatch(text):
        return Fault(what="this is no duration", wanted=WANTED)
    number = _number(text)
    if number < 0:
        return Fault(what="a negative duration", wanted="hours from 0")
    if unit == "minutes":
        if number % 1:
            return Fault(what="a part of a minute, or hours in a column of minutes", wanted="whole minutes, or a duration with its unit")
        return number / 60
    if number > MOST_HOURS and number % 1 == 0:
        return Fault(what=f"more than {MOST_HOURS:g} hours, probably minutes", wanted="hours",
                     remedy='Set hours_unit = "minutes" if the whole file counts minutes; the cell was left empty.')
    return _hours(text, point, remedy)


def _hours(text: str, point: str | None, remedy: str) -> float | Fault:
    """Hours with a mark: two digits behind it may be hundredths or minutes."""
    if point == "minutes":
        return _hours_and_minutes(text)
    found = HUNDREDTHS.fullmatch(text)
    if point == "decimal" or found is None or int(found[1]) in (0, *range(60, 100)):
        return _number(text)
    hours, minutes = int(text[:-3] or 0), int(found[1])
    return Fault(what=f"an ambiguous duration: {hours + minutes / 100:g} h or {_clock(hours, minutes)}", wanted=WANTED, remedy=remedy)


def _hours_and_minutes(text: str) -> float | Fault:
    """Hours of a file in which the digits behind the mark are minutes."""
    if found := HUNDREDTHS.fullmatch(text):
        if int(found[1]) >= 60:
            return Fault(what=f"{found[1]} are no minutes, as hours_point of the profile says", wanted=WANTED,
                         remedy='Mend the cell, or set hours_point = "decimal" if the whole file counts hundredths; the cell was left empty.')
        return int(text[:-3] or 0) + int(found[1]) / 60
    if (found := TENTHS.fullmatch(text)) and found[2] != "0":
        hours, digit = int(found[1] or 0), int(found[2])
        tens = [_clock(hours, 10 * digit)] if digit < 6 else []
        told = ", ".join([f"{hours + digit / 10:g} h", *tens, _clock(hours, digit)])
        return Fault(what=f"an ambiguous duration, with one digit behind the mark: {told}", wanted=WANTED,
                     remedy="Write it with a colon, e.g. 1:30; the cell was left empty.")
    if (found := LONGER.fullmatch(text)) and int(found[1]):
        return Fault(what=f"{found[1]} are no minutes, as hours_point of the profile says", wanted="two digits behind the mark",
                     remedy="Write it with a colon, e.g. 1:30; the cell was left empty.")
    return _number(text)


def _clock(hours: int, minutes: int) -> str:
    return f"{hours} h {minutes:02d} min"
