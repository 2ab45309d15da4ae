"""Hours of labour as shops write them: 1.5, 1:30, 1h30, 90m, 1 1/2, .3."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata

from fleetstats.sources.cell import Fault, Parse

CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::[0-5]\d)?")
HOURS_MINUTES = re.compile(r"(\d{1,3})\s*(?:h|hr|hrs|hour|hours|heure|heures)\.?\s*(?:and |et )?([0-5]?\d)\s*(?:m|mn|min|mins|minutes?)?\.?")
HOURS = re.compile(r"(\d*[.,]?\d+|\d+[.,]?)\s*(?:h|hr|hrs|hour|hours|heure|heures)\.?")
MINUTES = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:m|mn|min|mins|minutes?|')\.?")
FRACTION = re.compile(r"(?:(\d+)[ -]+)?(\d+)/(\d+)\s*(?:h|hr|hrs|hours?)?\.?")
BARE = re.compile(r"-?(?:\d+(?:[.,]\d*)?|[.,]\d+)")
MOST_HOURS = 15.0
"""A bare whole number of hours above this is probably minutes."""


def hours_parser(unit: str) -> Parse:
    """A parser of durations into hours; unit ("hours" or "minutes"): what a bare number means. '1.30' is a decimal, 1.3.

    Decimal point and decimal comma are both read: hours have no thousands.
    """
    def parse(value: object) -> object:
        if isinstance(value, dt.timedelta):
            return value.total_seconds() / 3600
        if isinstance(value, dt.time):
            return value.hour + value.minute / 60
        if isinstance(value, bool | dt.date):
            return Fault(what="this is no duration", wanted="hours such as 1.5 or 1:30")
        if isinstance(value, int | float):
            return _bare(float(value), unit)
        return _text(_plain(str(value)), unit)
    return parse


def _plain(text: str) -> str:
    """Lower case, one-sign fractions such as '1½' as '1 1/2'."""
    spaced = "".join(f" {sign}" if unicodedata.category(sign) == "No" else sign for sign in text)
    return unicodedata.normalize("NFKC", spaced).replace("\u2044", "/").strip().lower()


def _text(text: str, unit: str) -> float | Fault:
    if found := CLOCK.fullmatch(text) or HOURS_MINUTES.fullmatch(text):
        return int(found[1]) + int(found[2]) / 60
    if found := HOURS.fullmatch(text):
        return float(found[1].replace(",", "."))
    if found := MINUTES.fullmatch(text):
        return float(found[1].replace(",", ".")) / 60
    if (found := FRACTION.fullmatch(text)) and int(found[3]) > 0:
        return int(found[1] or 0) + int(found[2]) / int(found[3])
    if BARE.fullmatch(text):
        return _bare(float(text.replace(",", ".")), unit)
    return Fault(what="not read as a duration", wanted="hours such as 1.5 or 1:30")


def _bare(number: float, unit: str) -> float | Fault:
    if number < 0:
        return Fault(what="a negative duration", wanted="hours from 0")
    if unit == "minutes":
        return number / 60
    if number > MOST_HOURS:
        return Fault(what=f"more than {MOST_HOURS:g} hours, probably minutes", wanted="hours",
                     remedy='Set hours_unit = "minutes" if the whole file counts minutes; the cell was left empty.')
    return number
