"""The vocabulary as a whole: codes with their definitions, and the reading of texts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from fleetstats.vocabulary.entries import Entry, Language, item_of
from fleetstats.vocabulary.match import Recognition
from fleetstats.vocabulary.matcher import Heard, Matcher
from fleetstats.vocabulary.pieces import Piece, Split, Splitter
from fleetstats.vocabulary.recognitions import Recognitions
from fleetstats.vocabulary.words import normal_form, plain

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
        return item_of(self.entries, code)

    def rank(self, code: str) -> int:
        """Place of a code in the vocabulary's files: the weightiest of a facet comes first."""
        return self._rank[code]

    def symptom_group(self, code: str) -> str:
        """Group of a complaint: "leak", "no cooling", "weak" or "other"."""
        return self.entries[code][1].group or "other"

    def holds(self, word: str) -> bool:
        """Whether a word is the vocabulary's or an ordinary one, just as it is written."""
        return self.matcher.sequencer.holds(normal_form(plain(word)))

    def recognise(self, texts: pd.Series | np.ndarray | Sequence[str]) -> Recognitions:
        """Codes in each of the texts; every distinct piece of text is read once."""
        codes, found = pd.factorize(pd.Series(texts, dtype="string"))
        distinct = np.asarray(found, dtype=object)
        return self._recognised(np.asarray(codes), distinct)

    def read(self, text: str) -> Recognition:
        """Codes in one text, with certainty and place."""
        return self._recognised(np.zeros(1, dtype=np.int64), np.array([text], dtype=object)).of(0)

    def _recognised(self, codes: np.ndarray, texts: np.ndarray) -> Recognitions:
        if len(self._pieces) > MOST_PIECES:
            self._pieces.clear()
            self._beside.clear()
        split = self._splitter(texts.tolist())
        places, words = pd.factorize(np.array(split.words, dtype=object))
        pieces = [self._pieces.get(one) or self._read(one) for one in words]
        self._read_beside(split, places, pieces)
        return Recognitions(codes=codes, texts=texts, first=split.first, starts=split.starts, places=places, pieces=pieces, entries=self.entries)

    def _read(self, words: str) -> Piece:
        self._pieces[words] = piece = self.matcher.read(words)
        return piece

    def _read_beside(self, split: Split, places: np.ndarray, pieces: list[Piece]) -> None:
        """Pieces whose finding may belong to what other pieces of their text name are read with what those tell; `places` and `pieces` take them up."""
        unnamed = np.array([piece.unnamed for piece in pieces], dtype=bool)
        if not unnamed.any():
            return
        known: dict[int, int] = {}
        own = places.copy()
        for place in np.flatnonzero(unnamed[places]).tolist():
            text = int(np.searchsorted(split.first, place, side="right")) - 1
            beside = range(int(split.first[text]), int(split.first[text + 1]))
            heard = frozenset(fact for other in beside if other != place for fact in pieces[own[other]].told if fact[0] == "own" or other < place)
            if heard:
                piece = self._beside.get((split.words[place], heard)) or self._heard(split.words[place], heard)
                if id(piece) not in known:
                    known[id(piece)] = len(pieces)
                    pieces.append(piece)
                places[place] = known[id(piece)]

    def _heard(self, words: str, heard: Heard) -> Piece:
        self._beside[words, heard] = piece = self.matcher.read(words, heard)
        return piece
