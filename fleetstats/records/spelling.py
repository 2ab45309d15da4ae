"""Normal forms of vehicle numbers and serials, and letters that are read for each other."""

from __future__ import annotations

import re

CONFUSED = str.maketrans({"O": "0", "Q": "0", "I": "1", "L": "1", "S": "5", "B": "8", "Z": "2", "G": "6"})
"""Letters and the digits they are read for: O/0/Q, I/1/l, S/5, B/8, Z/2, G/6 (common practice, no source)."""

_NOT_ALNUM = re.compile(r"[^A-Z0-9]")
_ZEROS = re.compile(r"(?<![0-9])0+(?=[0-9])")
_RUN = re.compile(r"[A-Z]+|[0-9]+")
_DIGIT = re.compile(r"[0-9]")
_PATTERN = str.maketrans("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", "A" * 26 + "9" * 10)


def normal(text: str) -> str:
    """Upper case, letters and digits only: 'k 100-123' -> 'K100123'."""
    # most texts are plain already, and there are many of them
    return text.upper() if text.isascii() and text.isalnum() else _NOT_ALNUM.sub("", text.upper())


def without_zeros(text: str) -> str:
    """Normal form without leading zeros of its runs of digits: 'C-0118' -> 'C118'."""
    return _ZEROS.sub("", normal(text))


def runs(text: str) -> str:
    """The runs of letters and of digits as they stand apart, without leading zeros.

    'c0118' and 'C-118' -> 'C 118'; 'T1-01' -> 'T 1 1' and 'T10-1' -> 'T 10 1'.
    """
    return " ".join(run.lstrip("0") or "0" if run.isdigit() else run for run in _RUN.findall(text.upper()))


def digits(text: str) -> str:
    """The digits alone, without leading zeros: 'C-0118' -> '118'; empty when there are none."""
    return "".join(_DIGIT.findall(text)).lstrip("0")


def folded(text: str) -> str:
    """Normal form with letters that are read for digits made digits: 'K1O0123' and 'K100123' give one text."""
    return normal(text).translate(CONFUSED)


def pattern(text: str) -> str:
    """Where letters and digits stand: 'K100123' -> 'A999999'."""
    return normal(text).translate(_PATTERN)


def loose(text: str) -> str:
    """`folded` without leading zeros, where they may have been lost: '00123456', 'O0123456' and '123456' give one text."""
    return folded(without_zeros(text)).lstrip("0")


def one_sign_apart(one: str, other: str) -> str | None:
    """How two normal forms of one length differ: "sign" where in one sign alone, "turned" where two neighbours stand turned, else None."""
    if len(one) != len(other):
        return None
    places = [place for place, (a, b) in enumerate(zip(one, other, strict=True)) if a != b]
    if len(places) == 1:
        return "sign"
    turned = len(places) == 2 and places[1] == places[0] + 1 and one[places[0]] == other[places[1]] and one[places[1]] == other[places[0]]
    return "turned" if turned else None
