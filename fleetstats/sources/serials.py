"""Serial numbers: as written, and in the form by which they are compared."""

from __future__ import annotations

import datetime as dt
import re

from fleetstats.sources.cell import Fault, Parse

SEPARATORS = re.compile(r"[\s\-_./#]+")
LABEL = re.compile(r"^(?:S/?N|SER(?:IAL)?(?: NO)?|NO|N°)[ .:#]*(?=[A-Z]*\d)")
PLACEHOLDER = re.compile(r"(.)\1*")
"""One sign again and again: '0', '0000', 'XXX', '???', '---'."""

SPOILT = re.compile(r"\d(?:[.,]\d+)?E\+?\d{1,3}")
SEVERAL = re.compile(r"(?i)\s*(?:[;,&|]|\s/\s|\s?->\s?|\s\+\s|\band\b|\bet\b|\bund\b|\bto\b|\bwas\b|\bnow\b)\s*")
MOST_DIGITS = 15
"""Digits that a spreadsheet keeps of a whole number; of a longer one the end is lost."""

WANTED = "the serial number of one unit"
NO_SERIAL = Fault(what="words, not a serial number", wanted=WANTED)


def normal_serial(text: str) -> str:
    """A serial in upper case without spaces, dashes, dots and a label such as 'S/N'; letters and digits stay as they were written."""
    return SEPARATORS.sub("", LABEL.sub("", text.strip().upper()))


def serial_parser() -> Parse:
    """A parser of serial numbers; one sign again and again ('0', 'XXX', '?') says that nobody read one, and gives nothing.

    Two serials in one cell, words, a day, and what a spreadsheet spoilt (1.2E+11, more than 15 digits) are faults.
    """
    def parse(value: object) -> object:
        if isinstance(value, dt.date | dt.time | dt.timedelta):
            return Fault(what="a date or time; a spreadsheet may have made one of a serial number", wanted=WANTED)
        if isinstance(value, float) and (not value.is_integer() or abs(value) >= 10**MOST_DIGITS):
            return Fault(what="a number that a spreadsheet has rounded", wanted=WANTED)
        return _text(str(int(value)) if isinstance(value, float) else str(value))
    return parse


def _text(text: str) -> str | Fault | None:
    serial = normal_serial(text)
    if not serial or PLACEHOLDER.fullmatch(serial):
        return None
    if SPOILT.fullmatch(text.strip().upper()):
        return Fault(what="a number that a spreadsheet has rounded", wanted=WANTED)
    if sum(_like_one(part) for part in SEVERAL.split(text)) > 1:
        return Fault(what="several serial numbers in one cell", wanted=WANTED)
    return serial if any(sign.isdigit() for sign in serial) else NO_SERIAL


def _like_one(part: str) -> bool:
    plain = normal_serial(part)
    return len(plain) >= 4 and sum(sign.isdigit() for sign in plain) >= 3
