"""What was recognised in many texts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.vocabulary.entries import Entry
from fleetstats.vocabulary.match import Match, Recognition
from fleetstats.vocabulary.naming import taken_back
from fleetstats.vocabulary.pieces import Piece

Parts = list[tuple[int, Piece]]
"""The pieces of a text with their starts."""


@dataclass(frozen=True, kw_only=True)
class Recognitions:
    """What was recognised in many texts.

    codes (n,): place of each text among the distinct ones, -1 where missing. texts: the distinct ones. parts: their pieces.
    """

    codes: np.ndarray = field(repr=False)
    texts: np.ndarray = field(repr=False)
    parts: list[Parts] = field(repr=False)
    entries: Mapping[str, tuple[str, Entry]] = field(repr=False)

    def __len__(self) -> int:
        return len(self.codes)

    def __getitem__(self, place: int) -> Recognition:
        return self.of(self.codes[place]) if self.codes[place] >= 0 else EMPTY

    def of(self, code: int) -> Recognition:
        """What was recognised in a distinct text."""
        return joined(self.texts[code], self.parts[code], self.entries)

    def meanings(self, terms: frozenset[str]) -> np.ndarray:
        """Per distinct text a number that texts share in which the same was found in the same order, whatever their words; 0: nothing, 1: empty.

        terms: the classes of words that count.
        """
        known: dict[tuple[int, ...], int] = {(): 0}
        says: dict[int, int] = {}
        keys: dict[tuple[object, ...], int] = {}
        numbers = np.empty(len(self.texts), dtype=np.int64)
        for place, (text, parts) in enumerate(zip(self.texts, self.parts, strict=True)):
            said = []
            for _, piece in parts:
                if (meaning := says.get(id(piece))) is None:
                    meaning = says[id(piece)] = _number(piece, terms, keys)
                if meaning:
                    said.append(meaning)
            numbers[place] = known.setdefault(tuple(said), len(known) + 1) if text else 1
        return numbers

    def words(self, code: int, number: int) -> str:
        """The words of a distinct text from which its match of this number was read."""
        for start, piece in self.parts[code]:
            if number < len(piece.matches):
                match = piece.matches[number]
                return str(self.texts[code][start + match.start:start + match.end])
            number -= len(piece.matches)
        raise IndexError("the text has no match of this number")

    def table(self) -> pd.DataFrame:
        """One row per code found: text (place in the input), code, facet, certainty, start, end."""
        found = ((place, match) for place, code in enumerate(self.codes) if code >= 0 for match in self.of(code).matches)
        return pd.DataFrame([(place, *match) for place, match in found], columns=["text", "code", "facet", "certainty", "start", "end"])


def _number(piece: Piece, terms: frozenset[str], numbers: dict[tuple[object, ...], int]) -> int:
    """Number of what a piece says; 0 where it says nothing."""
    said = tuple((match.code, match.facet, match.certainty, wide) for match, wide in zip(piece.matches, piece.wide, strict=True))
    meaning = (said, piece.terms & terms, piece.free_terms & terms)
    return numbers.setdefault(meaning, len(numbers) + 1) if any(meaning) else 0


def joined(text: str, parts: Parts, entries: Mapping[str, tuple[str, Entry]]) -> Recognition:
    """The pieces of a text as one: places counted from its beginning, findings taken back that a later piece denies."""
    if len(parts) == 1:
        piece = parts[0][1]
        matches, terms, free_terms, unmatched = piece.matches, piece.terms, piece.free_terms, piece.unmatched
    else:
        pieces = [piece for _, piece in parts]
        matches = tuple(Match(match.code, match.facet, match.certainty, match.start + start, match.end + start)
                        for start, piece in parts for match in piece.matches)
        terms, free_terms = (frozenset().union(*sets) for sets in ([piece.terms for piece in pieces], [piece.free_terms for piece in pieces]))
        unmatched = tuple(words for piece in pieces for words in piece.unmatched)
    return Recognition(text=text, matches=taken_back(matches, entries), terms=terms, free_terms=free_terms, unmatched=unmatched)


EMPTY = Recognition(text="", matches=(), terms=frozenset(), free_terms=frozenset(), unmatched=())
