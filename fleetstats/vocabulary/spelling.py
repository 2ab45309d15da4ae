"""Misspelt words: one edit for words of six letters or more, and words without vowels, against the vocabulary's own words."""

from __future__ import annotations

from collections.abc import Mapping

from rapidfuzz import process
from rapidfuzz.distance import OSA

from fleetstats.vocabulary.words import skeleton

SHORTEST = 6
SHORTEST_SKELETON = 4
VOWELS = frozenset("aeiouy")


class Speller:
    """Maps a word to the vocabulary's word it stands for; each distinct word is worked out once."""

    def __init__(self, known: set[str], ordinary: set[str], written: Mapping[str, str]) -> None:
        """known: words of the vocabulary. ordinary: never taken for one of them. written: other ways to write a word -> the word."""
        self._known = known | ordinary
        self._long = sorted(word for word in known if len(word) >= SHORTEST and word.isalpha())
        bones: dict[str, set[str]] = {}
        for word in sorted(known):
            if word.isalpha() and len(word) > SHORTEST_SKELETON:
                bones.setdefault(skeleton(word), set()).add(word)
        self._bones = {bone: words.pop() for bone, words in bones.items() if len(words) == 1 and len(bone) >= SHORTEST_SKELETON}
        self._seen = {other: word for other, word in written.items() if other not in self._known}

    def __call__(self, word: str) -> str:
        """The vocabulary's word, or the word itself where it is known, ordinary, or like none."""
        if word in self._known:
            return word
        if word not in self._seen:
            self._seen[word] = self._correct(word)
        return self._seen[word]

    def knows(self, word: str) -> bool:
        """Whether the word is the vocabulary's or ordinary."""
        return word in self._known

    def _correct(self, word: str) -> str:
        if not word.isalpha():
            return word
        if len(word) >= SHORTEST:
            near = process.extractOne(word, self._long, scorer=OSA.distance, score_cutoff=1)
            if near is not None:
                return str(near[0])
        if len(word) >= SHORTEST_SKELETON and not VOWELS & set(word[1:]):
            return self._bones.get(word, word)
        return word
