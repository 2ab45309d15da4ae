"""What was recognised in many texts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.vocabulary.entries import Entry
from fleetstats.vocabulary.match import Recognition
from fleetstats.vocabulary.naming import taken_back
from fleetstats.vocabulary.pieces import Piece

NOTHING, EMPTY_TEXT = 0, 1
"""Meanings of a text in which nothing was found, and of an empty one."""


@dataclass(frozen=True, kw_only=True)
class Recognitions:
    """What was recognised in many texts.

    codes (n,): place of each text among the distinct ones, -1 where missing. texts (k,): the distinct ones. first (k + 1,): where the pieces of each begin
    among all. starts, places (m,): of every piece of every text its start in the text and its place in `pieces`, the distinct ones.
    """

    codes: np.ndarray = field(repr=False)
    texts: np.ndarray = field(repr=False)
    first: np.ndarray = field(repr=False)
    starts: np.ndarray = field(repr=False)
    places: np.ndarray = field(repr=False)
    pieces: Sequence[Piece] = field(repr=False)
    entries: Mapping[str, tuple[str, Entry]] = field(repr=False)

    def __len__(self) -> int:
        return len(self.codes)

    def __getitem__(self, place: int) -> Recognition:
        return self.of(self.codes[place]) if self.codes[place] >= 0 else EMPTY

    def of(self, code: int) -> Recognition:
        """What was recognised in a distinct text: places counted from its beginning, findings taken back that a later piece denies."""
        parts = self.parts(code)
        if len(parts) == 1:
            piece = parts[0][1]
            matches, terms, free_terms, unmatched = piece.matches, piece.terms, piece.free_terms, piece.unmatched
        else:
            matches = tuple(match._replace(start=match.start + start, end=match.end + start) for start, piece in parts for match in piece.matches)
            terms, free_terms = (frozenset().union(*sets) for sets in zip(*((piece.terms, piece.free_terms) for _, piece in parts), strict=True))
            unmatched = tuple(words for _, piece in parts for words in piece.unmatched)
        return Recognition(text=self.texts[code], matches=taken_back(matches, self.entries), terms=terms, free_terms=free_terms, unmatched=unmatched)

    def parts(self, code: int) -> list[tuple[int, Piece]]:
        """The pieces of a distinct text with their starts."""
        first, end = self.first[code], self.first[code + 1]
        return [(start, self.pieces[place]) for start, place in zip(self.starts[first:end].tolist(), self.places[first:end].tolist(), strict=True)]

    def strange(self) -> np.ndarray:
        """Whether each distinct text holds words that nobody knows."""
        held = np.array([bool(piece.unmatched) for piece in self.pieces] or [False], dtype=bool)[self.places]
        counted: np.ndarray = np.bincount(np.repeat(np.arange(len(self.texts)), np.diff(self.first))[held], minlength=len(self.texts)) > 0
        return counted

    def meanings(self, terms: frozenset[str]) -> np.ndarray:
        """Per distinct text a number that texts share in which the same was found in the same order, whatever their words; NOTHING, EMPTY_TEXT or above.

        terms: the classes of words that count.
        """
        numbers: dict[tuple[object, ...], int] = {}
        says = np.array([_number(piece, terms, numbers) for piece in self.pieces] or [NOTHING], dtype=np.int64)[self.places]
        text = np.repeat(np.arange(len(self.texts)), np.diff(self.first))
        telling = np.flatnonzero(says != NOTHING)
        meanings = 2 + _sequences(text[telling], says[telling], len(self.texts))
        meanings[np.bincount(text[telling], minlength=len(self.texts)) == 0] = NOTHING
        meanings[self.texts == ""] = EMPTY_TEXT
        return meanings

    def words(self, codes: np.ndarray, numbers: np.ndarray) -> list[str]:
        """The words of distinct texts from which their matches of these numbers were read."""
        held = np.array([len(piece.matches) for piece in self.pieces] or [0], dtype=np.int64)[self.places]
        before = np.append(0, np.cumsum(held))
        wanted = before[self.first[codes]] + numbers
        places = np.searchsorted(before, wanted, side="right") - 1
        told = zip(codes.tolist(), self.starts[places].tolist(), self.places[places].tolist(), (wanted - before[places]).tolist(), strict=True)
        return [str(self.texts[code][start + match.start:start + match.end])
                for code, start, place, number in told for match in (self.pieces[place].matches[number],)]

    def table(self) -> pd.DataFrame:
        """One row per code found: text (place in the input), code, facet, certainty, start, end."""
        found = ((place, *match[:5]) for place, code in enumerate(self.codes) if code >= 0 for match in self.of(code).matches)
        return pd.DataFrame(found, columns=["text", "code", "facet", "certainty", "start", "end"])


def _number(piece: Piece, terms: frozenset[str], numbers: dict[tuple[object, ...], int]) -> int:
    """Number of what a piece says; NOTHING where it says nothing."""
    said = tuple((match.code, match.facet, match.certainty, match.praised, wide) for match, wide in zip(piece.matches, piece.wide, strict=True))
    meaning = (said, piece.terms & terms, piece.free_terms & terms)
    return numbers.setdefault(meaning, len(numbers) + 1) if any(meaning) else NOTHING


def _sequences(owner: np.ndarray, numbers: np.ndarray, owners: int) -> np.ndarray:
    """Per owner a number that owners share whose numbers are the same in the same order. owner: of each number, ascending."""
    found = np.zeros(owners, dtype=np.int64)
    turn = np.arange(len(owner)) - np.searchsorted(owner, owner)
    order = np.argsort(turn, kind="stable")
    ends = np.cumsum(np.bincount(turn)) if len(turn) else ()
    start, most = 0, int(numbers.max(initial=0)) + 1
    for end in ends:
        who, said = owner[order[start:end]], numbers[order[start:end]]
        # those whose numbers ended before keep what they had, which nobody else is given
        found[who] = int(found.max()) + 1 + pd.factorize(found[who] * most + said)[0]
        start = end
    return found


EMPTY = Recognition(text="", matches=(), terms=frozenset(), free_terms=frozenset(), unmatched=())
