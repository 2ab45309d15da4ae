"""Normal forms of vehicle numbers and serials, and letters that are read for each other."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection

import numpy as np

CONFUSED = str.maketrans({"O": "0", "Q": "0", "I": "1", "L": "1", "S": "5", "B": "8", "Z": "2", "G": "6"})
"""Letters and the digits they are read for: O/0/Q, I/1/l, S/5, B/8, Z/2, G/6 (common practice, no source)."""

_NOT_ALNUM = re.compile(r"[^A-Z0-9\n]+")
_ZEROS = re.compile(r"(?<![0-9])0+(?=[0-9])")
_FIRST_ZEROS = re.compile(r"^0+", re.MULTILINE)
_LETTERS = re.compile(r"[A-Z]+")
_RUN = re.compile(r"[A-Z]+|[0-9]+")
_PATTERN = str.maketrans("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", "A" * 26 + "9" * 10)


def normal(text: str) -> str:
    """Upper case, letters and digits only: 'k 100-123' -> 'K100123'."""
    # most texts are plain already, and there are many of them
    return text.upper() if text.isascii() and text.isalnum() else _NOT_ALNUM.sub("", text.replace("\n", " ").upper())


def without_zeros(text: str) -> str:
    """Normal form without leading zeros of its runs of digits: 'C-0118' -> 'C118'."""
    return _bare(normal(text))


def runs(text: str) -> str:
    """The runs of letters and of digits as they stand apart, without leading zeros.

    'c0118' and 'C-118' -> 'C 118'; 'T1-01' -> 'T 1 1' and 'T10-1' -> 'T 10 1'.
    """
    return " ".join(run.lstrip("0") or "0" if run.isdigit() else run for run in _RUN.findall(text.upper()))


def digits(text: str) -> str:
    """The digits alone, without leading zeros: 'C-0118' -> '118'; empty when there are none."""
    return _figures(normal(text))


def folded(text: str) -> str:
    """Normal form with letters that are read for digits made digits: 'K1O0123' and 'K100123' give one text."""
    return _folded(normal(text))


def pattern(text: str) -> str:
    """Where letters and digits stand: 'K100123' -> 'A999999'."""
    return _shape(normal(text))


def loose(text: str) -> str:
    """`folded` without leading zeros, where they may have been lost: '00123456', 'O0123456' and '123456' give one text."""
    return _loose(normal(text))


def of_each(way: Callable[[str], str], texts: Collection[str]) -> list[str]:
    """A form of many texts, made in one go. way: `normal`, `without_zeros`, `digits`, `folded`, `pattern` or `loose`."""
    if not len(texts):
        return []
    lines = "\n".join(texts)
    if lines.count("\n") >= len(texts):
        lines = "\n".join(text.replace("\n", " ") for text in texts)
    return _OF_NORMAL[way](_NOT_ALNUM.sub("", lines.upper())).split("\n")


# what follows takes a normal form, or many of them with a line for each


def _bare(forms: str) -> str:
    return _ZEROS.sub("", forms)


def _figures(forms: str) -> str:
    return _FIRST_ZEROS.sub("", _LETTERS.sub("", forms))


def _folded(forms: str) -> str:
    return forms.translate(CONFUSED)


def _shape(forms: str) -> str:
    return forms.translate(_PATTERN)


def _loose(forms: str) -> str:
    return _FIRST_ZEROS.sub("", _folded(_bare(forms)))


_OF_NORMAL: dict[Callable[[str], str], Callable[[str], str]] = {
    normal: str, without_zeros: _bare, digits: _figures, folded: _folded, pattern: _shape, loose: _loose,
}


def one_sign_apart(one: str, other: str) -> str | None:
    """How two normal forms of one length differ: "sign" where in one sign alone, "turned" where two neighbours stand turned, else None."""
    if len(one) != len(other):
        return None
    places = [place for place, (a, b) in enumerate(zip(one, other, strict=True)) if a != b]
    if len(places) == 1:
        return "sign"
    turned = len(places) == 2 and places[1] == places[0] + 1 and one[places[0]] == other[places[1]] and one[places[1]] == other[places[0]]
    return "turned" if turned else None


def misread_signs(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """True where two normal forms differ as `one_sign_apart` tells. one, other: as many of each."""
    lengths = [np.array([len(text) for text in texts], dtype=np.int64) for texts in (one, other)]
    apart = np.zeros(len(one), dtype=bool)
    for length in np.unique(lengths[0][lengths[0] == lengths[1]]):
        here = np.flatnonzero((lengths[0] == length) & (lengths[1] == length))
        if length:
            a, b = (texts[here].astype(f"S{length}").view(np.uint8).reshape(-1, length) for texts in (one, other))
            differ = a != b
            turned = (a[:, 1:] == b[:, :-1]) & (a[:, :-1] == b[:, 1:]) & differ[:, 1:]
            count = differ.sum(axis=1)
            apart[here] = (count == 1) | ((count == 2) & turned.any(axis=1))
    return apart
