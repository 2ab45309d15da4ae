"""A text to pieces that can be read by themselves: sentences, with numbers that mean nothing to the vocabulary made alike."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from fleetstats.vocabulary.match import Match
from fleetstats.vocabulary.words import normal_form, plain

NUMBER = re.compile(r"(?<![^\x00-\x7f])-?[0-9]+(?:[.,][0-9]+)?(?![0-9]|[^\x00-\x7f°Ω])")
STOP = re.compile(r"[;!|\n]|(?<=\s)/|\.(?=\s)")
LETTERS = re.compile(r"[a-z]+\Z")
JOINED = re.compile(r"[a-z]+(?:['/&+][a-z]+)*\Z")
DIGITS = "8796543210"
LONGEST = 1000
"""Signs of a piece; no sentence of a shop is nearly as long."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """What one piece says by itself; places are counted from its beginning.

    unnamed: whether it holds a finding whose item may be named in another piece. told: what it tells the others: ("own", code) where it speaks of
    the item of that finding, ("other", code) where it names something else that the finding may belong to. wide: whether a match was read
    from more than one word.
    """

    matches: tuple[Match, ...]
    terms: frozenset[str]
    free_terms: frozenset[str]
    unmatched: tuple[str, ...]
    unnamed: bool
    told: frozenset[tuple[str, str]]
    wide: tuple[bool, ...]


class Splitter:
    """Parts texts where a sentence is sure to end."""

    def __init__(self, abbreviations: Collection[str], numbers: Collection[str]) -> None:
        """abbreviations: after which a full stop ends no sentence. numbers: that the vocabulary knows."""
        self._abbreviations = frozenset(abbreviations)
        taken = {frozenset(number.replace(".", "").lstrip("-")) for number in numbers}
        filler = next(digit for digit in DIGITS if frozenset(digit) not in taken)
        self._alike = _Alike(frozenset(numbers), str.maketrans(DIGITS, filler * len(DIGITS)))

    def __call__(self, text: str) -> list[tuple[int, str]]:
        """Start and text of each piece, in lower case, as long as what it stands for."""
        low = text.lower()
        low = NUMBER.sub(self._number, low if len(low) == len(text) else text)
        pieces: list[tuple[int, str]] = []
        start = 0
        for stop in STOP.finditer(low):
            if stop[0] != "." or not self._shortened(low[max(0, stop.start() - 24):stop.start()]):
                pieces += _cut(low, start, stop.end())
                start = stop.end()
        return [*pieces, *_cut(low, start, len(low))]

    def _number(self, found: re.Match[str]) -> str:
        return self._alike[found[0]]

    def _shortened(self, before: str) -> bool:
        """Whether the words directly before a full stop may be an abbreviation."""
        tail = plain(before)
        return any(found is not None and normal_form(found[0]) in self._abbreviations for found in (LETTERS.search(tail), JOINED.search(tail)))


def _cut(text: str, start: int, end: int) -> Iterator[tuple[int, str]]:
    """The piece from start to end; one that is longer than any sentence is cut at a blank, so that no text takes time by the square of its length."""
    while end - start > LONGEST:
        blank = text.rfind(" ", start + 1, start + LONGEST)
        stop = blank if blank > start else start + LONGEST
        yield start, text[start:stop]
        start = stop
    yield start, text[start:end]


class _Alike(dict[str, str]):
    """A number to the number that stands for it: itself where the vocabulary knows it, else one of the same length."""

    def __init__(self, known: frozenset[str], filled: dict[int, int]) -> None:
        self._known = known
        self._filled = filled

    def __missing__(self, number: str) -> str:
        self[number] = number if number.replace(",", ".") in self._known else number.translate(self._filled)
        return self[number]
