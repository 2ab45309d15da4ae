"""Hours of labour as shops write them: 1.5, 1:30, 1h30, 90m, 1 1/2, .3."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterable
from fractions import Fraction

from fleetstats.sources.cell import Fault, Parse

CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::[0-5]\d)?(?:\s*(?:h|hrs?|hours?))?")
HOURS_MINUTES = re.compile(r"(\d{1,3})\s*(?:h|hr|hrs|hour|hours|heures?|std|stunden?)\.?\s*(?:and |et |und )?([0-5]?\d)\s*(?:m|mn|mins?|minutes?|minuten)?\.?")
HOURS = re.compile(r"(\d{0,3}[.,]?\d{1,4}|\d{1,3}[.,]?)\s*(?:h|hr|hrs|hour|hours|heures?|std|stunden?)\.?")
MINUTES = re.compile(r"(\d{1,4}(?:[.,]\d{1,2})?)\s*(?:m|mn|min|mins|minutes?|minuten|')\.?")
FRACTION = re.compile(r"(?:(\d{1,3})[ -]+)?(\d{1,2})/(\d{1,2})\s*(?:h|hr|hrs|hours?)?\.?")
BARE = re.compile(r"-?(?:\d{1,6}(?:[.,]\d{0,6})?|[.,]\d{1,6})")
HUNDREDTHS = re.compile(r"\d*[.,](\d\d)")
RANGE = re.compile(r"[\d.,:]+\s*(?:-|–|to|bis|à)\s*[\d.,:]+.*")
MOST_HOURS = 15.0
"""A bare whole number of hours above this is probably minutes."""
PARTS = (2, 3, 4, 5, 6, 8, 10)
"""Parts into which an hour is divided by a fraction; '3/9' is no time."""

WANTED = "hours such as 1.5 or 1:30"
TWO_READINGS = 'Set hours_point = "decimal" or "minutes" under [format] of the profile; the cell was left empty.'


def hours_parser(unit: str, point: str | None = None) -> Parse:
    """A parser of durations into hours.

    unit ("hours" or "minutes"): what a bare number means. point ("decimal" or "minutes"): what two digits behind the mark are in a file that
    counts hours, '1.30' being 1.3 h or 1 h 30; without it such a value is a fault where the two readings differ. Decimal point and decimal comma
    are both read: hours have no thousands. '.3' is three tenths of an hour, counted on a clock or by the flat-rate book.
    """
    def parse(value: object) -> object:
        if isinstance(value, dt.timedelta):
            return value.total_seconds() / 3600 if value >= dt.timedelta(0) else Fault(what="a negative duration", wanted="hours from 0")
        if isinstance(value, dt.time):
            return value.hour + value.minute / 60
        if isinstance(value, bool | dt.date):
            return Fault(what="this is no duration", wanted=WANTED)
        if isinstance(value, int | float):
            return _bare(f"{value:.6g}", unit, point)
        return _text(_plain(str(value)), unit, point)
    return parse


def point_shown(values: Iterable[object]) -> str | None:
    """"decimal" where a value of the column has hundredths that can be no minutes (1.75), else None: it is not proved."""
    found = (HUNDREDTHS.fullmatch(str(value).strip()) for value in values)
    return "decimal" if any(match is not None and int(match[1]) >= 60 for match in found) else None


def _plain(text: str) -> str:
    """Lower case, one-sign fractions such as '1½' as '1 1/2' (a compatibility fold alone would make it eleven halves)."""
    spaced = "".join(f" {sign}" if unicodedata.category(sign) == "No" else sign for sign in text)
    return unicodedata.normalize("NFKC", spaced).replace("\u2044", "/").strip().lower()


def _text(text: str, unit: str, point: str | None) -> float | Fault:
    if (found := CLOCK.fullmatch(text) or HOURS_MINUTES.fullmatch(text)) and text.isascii():
        return int(found[1]) + int(found[2]) / 60
    if found := HOURS.fullmatch(text):
        return _hours(found[1], point)
    if found := MINUTES.fullmatch(text):
        return _number(found[1]) / 60
    if (found := FRACTION.fullmatch(text)) and int(found[3]) in PARTS and int(found[2]) < int(found[3]):
        return float(int(found[1] or 0) + Fraction(int(found[2]), int(found[3])))
    if BARE.fullmatch(text):
        return _bare(text, unit, point)
    if RANGE.fullmatch(text):
        return Fault(what="a range, not one duration", wanted=WANTED)
    return Fault(what="not read as a duration", wanted=WANTED)


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _bare(text: str, unit: str, point: str | None) -> float | Fault:
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
    return _hours(text, point)


def _hours(text: str, point: str | None) -> float | Fault:
    """Hours with a mark: two digits behind it may be hundredths or minutes."""
    found = HUNDREDTHS.fullmatch(text)
    if point == "decimal" or found is None or int(found[1]) in (0, *range(60, 100)):
        return _number(text)
    hours, minutes = int(text[:-3] or 0), int(found[1])
    if point == "minutes":
        return hours + minutes / 60
    return Fault(what=f"an ambiguous duration: {hours + minutes / 100:g} h or {hours} h {minutes:02d} min", wanted=WANTED, remedy=TWO_READINGS)
