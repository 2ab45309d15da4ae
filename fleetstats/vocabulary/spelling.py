"""Misspelt words: one edit for words of six letters or more, two letters swapped in shorter ones, and words without vowels."""

from __future__ import annotations

from collections.abc import Mapping

from rapidfuzz import process
from rapidfuzz.distance import OSA

from fleetstats.vocabulary.words import skeleton

SHORTEST = 6
SHORTEST_SWAPPED = 4
SHORTEST_SKELETON = 4
VOWELS = frozenset("aeiouy")


class Speller:
    """Maps a word to the vocabulary's word it stands for."""

    def __init__(self, known: set[str], ordinary: set[str], classes: Mapping[str, str]) -> None:
        """known: words of the vocabulary. ordinary: never taken for one of them.

        classes: class of a word that stands for one by itself; words of one class may share their consonants.
        """
        self._known = known | ordinary
        self._long = sorted(word for word in known if len(word) >= SHORTEST and word.isalpha())
        bones: dict[str, set[str]] = {}
        for word in sorted(known):
            if word.isalpha() and len(word) > SHORTEST_SKELETON:
                bones.setdefault(skeleton(word), set()).add(word)
        self._bones = {bone: min(words) for bone, words in bones.items()
                       if len(bone) >= SHORTEST_SKELETON and len({classes.get(word, word) for word in words}) == 1}

    def __call__(self, word: str) -> str:
        """The vocabulary's word, or the word itself where it is known, ordinary, or like none."""
        return word if word in self._known else self._correct(word)

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
        elif len(word) >= SHORTEST_SWAPPED:
            swapped = {word[:place] + word[place + 1] + word[place] + word[place + 2:] for place in range(len(word) - 1)} & self._known
            if len(swapped) == 1:
                return swapped.pop()
        if len(word) >= SHORTEST_SKELETON and not VOWELS & set(word[1:-1]):
            return self._bones.get(skeleton(word), word)
        return word
