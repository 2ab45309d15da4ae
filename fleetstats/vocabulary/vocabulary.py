"""The vocabulary as a whole: codes with their definitions, and the reading of texts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from fleetstats.vocabulary.entries import Entry, Language
from fleetstats.vocabulary.match import Recognition
from fleetstats.vocabulary.matcher import Heard, Matcher
from fleetstats.vocabulary.pieces import Piece, Splitter
from fleetstats.vocabulary.recognitions import Parts, Recognitions, joined

MOST_PIECES = 200_000
"""Pieces kept between texts; beyond it they are read anew."""


class Vocabulary:
    """Codes, their definitions, and the reading of texts. `taught` phrases win over shipped ones."""

    def __init__(self, entries: Mapping[str, tuple[str, Entry]], language: Language, taught: Mapping[str, Sequence[str]] | None = None) -> None:
        self.entries = dict(entries)
        self.matcher = Matcher(entries, language, taught)
        self._splitter = Splitter(self.matcher.sequencer.abbreviations, self.matcher.sequencer.numbers)
        self._rank = {code: place for place, code in enumerate(self.entries)}
        self._pieces: dict[str, Piece] = {}
        self._beside: dict[tuple[str, Heard], Piece] = {}

    def facet(self, code: str) -> str:
        """Facet of a code. Raises KeyError for an unknown one."""
        return self.entries[code][0]

    def definition(self, code: str) -> str:
        """Definition of a code. Raises KeyError for an unknown one."""
        return self.entries[code][1].definition

    def item(self, code: str) -> str | None:
        """The item that a finding or an action is about; an item's own code."""
        facet, entry = self.entries[code]
        return code if facet == "item" else entry.item

    def rank(self, code: str) -> int:
        """Place of a code in the vocabulary's files: the weightiest of a facet comes first."""
        return self._rank[code]

    def symptom_group(self, code: str) -> str:
        """Group of a complaint: "leak", "no cooling", "weak" or "other"."""
        return self.entries[code][1].group or "other"

    def recognise(self, texts: pd.Series | np.ndarray | Sequence[str]) -> Recognitions:
        """Codes in each of the texts; every distinct piece of text is read once."""
        codes, found = pd.factorize(pd.Series(texts, dtype="string"))
        distinct = np.asarray(found, dtype=object)
        if len(self._pieces) > MOST_PIECES:
            self._pieces.clear()
            self._beside.clear()
        return Recognitions(codes=np.asarray(codes), texts=distinct, parts=[self._parts(text) for text in distinct], entries=self.entries)

    def read(self, text: str) -> Recognition:
        """Codes in one text, with certainty and place."""
        return joined(text, self._parts(text), self.entries)

    def _parts(self, text: str) -> Parts:
        """The pieces of a text with their starts."""
        split = self._splitter(text)
        parts = [(start, self._pieces.get(words) or self._read(words)) for start, words in split]
        if len(parts) == 1 or not any(piece.unnamed for _, piece in parts):
            return parts
        return [(start, self._read_beside(split[place][1], parts, place) if piece.unnamed else piece) for place, (start, piece) in enumerate(parts)]

    def _read(self, words: str) -> Piece:
        self._pieces[words] = piece = self.matcher.read(words)
        return piece

    def _read_beside(self, words: str, parts: Parts, place: int) -> Piece:
        """A piece whose finding may belong to what other pieces name."""
        heard = frozenset(fact for other, (_, piece) in enumerate(parts) if other != place for fact in piece.told if fact[0] == "own" or other < place)
        if (words, heard) not in self._beside:
            self._beside[words, heard] = self.matcher.read(words, heard)
        return self._beside[words, heard]
