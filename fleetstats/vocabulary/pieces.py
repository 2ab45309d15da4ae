"""Texts to pieces that can be read by themselves: sentences, with numbers that mean nothing to the vocabulary made alike."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from fleetstats.vocabulary.match import Match
from fleetstats.vocabulary.words import normal_form, plain

NUMBER = re.compile(r"(?<![0-9]|[^\x00-\x7f])-?[0-9]+(?:[.,][0-9]+)?(?![0-9]|[^\x00-\x7f°Ω])")
BETWEEN = "\x01"
"""What stands between two texts while all of them are parted at once; no blank, and nothing that anybody writes."""

STOP = re.compile(rf"[;!|\n{BETWEEN}]|(?<=\s)/|\.(?=\s)")
LETTERS = re.compile(r"[a-z]+\Z")
JOINED = re.compile(r"[a-z]+(?:['/&+][a-z]+)*\Z")
DIGITS = "8796543210"
MOST_KEPT = 100_000
"""Numbers, and words before a full stop, that are kept; beyond it they are looked at anew."""

LONGEST = 1000
"""Signs of a piece; no sentence of a shop is nearly as long."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """What one piece says by itself; places are counted from its beginning.

    words: the piece itself. unnamed: whether it holds a finding whose item may be named in another piece. told: what it tells the others: ("own", code)
    where it speaks of the item of that finding, ("other", code) where it names something else that the finding may belong to. wide: whether a match
    was read from more than one word.
    """

    words: str
    matches: tuple[Match, ...]
    terms: frozenset[str]
    free_terms: frozenset[str]
    unmatched: tuple[str, ...]
    unnamed: bool
    told: frozenset[tuple[str, str]]
    wide: tuple[bool, ...]


@dataclass(frozen=True, kw_only=True)
class Split:
    """The pieces of n texts one after the other: `words` with their `starts` in their text; those of text i stand at first[i]..first[i + 1]."""

    words: list[str] = field(repr=False)
    starts: np.ndarray = field(repr=False)
    first: np.ndarray = field(repr=False)


class Splitter:
    """Parts texts where a sentence is sure to end."""

    def __init__(self, abbreviations: Collection[str], numbers: Collection[str]) -> None:
        """abbreviations: after which a full stop ends no sentence. numbers: that the vocabulary knows."""
        self._abbreviations = frozenset(abbreviations)
        taken = {frozenset(number.replace(".", "").lstrip("-")) for number in numbers}
        filler = next(digit for digit in DIGITS if frozenset(digit) not in taken)
        self._alike = _Alike(frozenset(numbers), str.maketrans(DIGITS, filler * len(DIGITS)))
        self._shortens: dict[str, bool] = {}

    def __call__(self, texts: Sequence[str]) -> Split:
        """The pieces of every text, in lower case, each as long as what it stands for."""
        low = self._alike_all(texts)
        words: list[str] = []
        starts: list[int] = []
        first = [0]
        begin = start = 0
        for stop in STOP.finditer(low):
            end = stop.end()
            sign = low[end - 1]
            if sign == "." and self._shortened(low[max(begin, end - 25):end - 1]):
                continue
            last = end - 1 if sign == BETWEEN else end
            if last - start <= LONGEST:
                words.append(low[start:last])
                starts.append(start - begin)
            else:
                for place, piece in _cut(low, start, last):
                    words.append(piece)
                    starts.append(place - begin)
            if sign == BETWEEN:
                first.append(len(words))
                begin = end
            start = end
        return Split(words=words, starts=np.array(starts, dtype=np.int64), first=np.array(first, dtype=np.int64))

    def _alike_all(self, texts: Sequence[str]) -> str:
        """The texts in lower case with their numbers made alike, each with BETWEEN behind it; no place moves."""
        joined = BETWEEN.join([*texts, ""])
        if joined.count(BETWEEN) != len(texts):
            joined = BETWEEN.join([*(text.replace(BETWEEN, " ") for text in texts), ""])
        low = joined.lower()
        if len(low) != len(joined):
            # a few capitals have small forms of two signs
            low = "".join(small if len(small := sign.lower()) == 1 else sign for sign in joined)
        return NUMBER.sub(self._number, low)

    def _number(self, found: re.Match[str]) -> str:
        return self._alike[found[0]]

    def _shortened(self, before: str) -> bool:
        """Whether the words directly before a full stop may be an abbreviation."""
        tail = before.rpartition(" ")[2]
        if (short := self._shortens.get(tail)) is None:
            if len(self._shortens) >= MOST_KEPT:
                self._shortens.clear()
            word = plain(tail)
            short = any(found is not None and normal_form(found[0]) in self._abbreviations for found in (LETTERS.search(word), JOINED.search(word)))
            self._shortens[tail] = short
        return short


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
        if len(self) >= MOST_KEPT:
            self.clear()
        self[number] = number if number.replace(",", ".") in self._known else number.translate(self._filled)
        return self[number]
