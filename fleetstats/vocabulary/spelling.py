"""Misspelt words: one slip in words of six letters or more, two letters swapped in shorter ones, and words whose vowels are wrong or left out."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from rapidfuzz import process
from rapidfuzz.distance import OSA

from fleetstats.vocabulary.words import skeleton

SHORTEST = 6
SHORTEST_SWAPPED = 4
SHORTEST_SKELETON = 4
LONG = 7
"""Letters from which on two vowels may be wrong; in shorter words one may be missing or too many."""
VOWELS = frozenset("aeiouy")
DROPPED = "ing"
"""An ending whose last letter is often not written, as it is not spoken: 'leakin'."""

PLURAL = "s"

ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
"""Keys of a keyboard, row by row; those of the next row lie half a key to the right."""

ALIKE = ("ck", "cs", "sz", "dt", "mn", "gj", "kq", "vw", "fv")
"""Letters that are taken for each other by their sound."""


def _confused() -> frozenset[frozenset[str]]:
    """Pairs of letters that are easily written for each other: neighbours on the keyboard, vowels, and letters that sound alike."""
    beside = [row[place:place + 2] for row in ROWS for place in range(len(row) - 1)]
    below = [upper[place + shift] + key for upper, lower in pairwise(ROWS) for place, key in enumerate(lower) for shift in (0, 1)
             if place + shift < len(upper)]
    vowels = [one + other for one in VOWELS for other in VOWELS if one != other]
    return frozenset(frozenset(pair) for pair in (*beside, *below, *vowels, *ALIKE))


CONFUSED = _confused()


class Speller:
    """Maps a word to the vocabulary's word it stands for."""

    def __init__(self, known: set[str], ordinary: set[str], classes: Mapping[str, str]) -> None:
        """known: words of the vocabulary. ordinary: never taken for one of them.

        classes: class of a word that stands for one by itself; words of one class may share their consonants.
        """
        self._known = known | ordinary
        self._classes = classes
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
        if word.endswith(DROPPED[:-1]) and word + DROPPED[-1] in self._known:
            return word + DROPPED[-1]
        if len(word) >= SHORTEST:
            near = process.extract(word, self._long, scorer=OSA.distance, score_cutoff=1, limit=None)
            if meant := [other for other, _, _ in near if slipped(word, other)]:
                return self._one_of(meant) or self._one_of([other for other in meant if len(other) > len(word)]) or word
        elif len(word) >= SHORTEST_SWAPPED:
            swapped = {word[:place] + word[place + 1] + word[place] + word[place + 2:] for place in range(len(word) - 1)} & self._known
            if len(swapped) == 1:
                return swapped.pop()
        return self._by_consonants(word)

    def _one_of(self, words: list[str]) -> str | None:
        """One of words that all stand for the same; None where they do not, or there is none."""
        return words[0] if len({self._classes.get(word, word).removesuffix(PLURAL) for word in words}) == 1 else None

    def _by_consonants(self, word: str) -> str:
        meant = self._bones.get(skeleton(word)) if len(word) >= SHORTEST_SKELETON else None
        return meant if meant is not None and (not VOWELS & set(word[1:-1]) or _vowels_slipped(word, meant)) else word


def _vowels_slipped(written: str, meant: str) -> bool:
    """Whether words of the same consonants are near enough: 'propain', 'freezr'; not 'strip' and 'strap'."""
    unequal = abs(len(written) - len(meant))
    edits = OSA.distance(written, meant)
    return unequal <= 1 and (edits <= 2 if len(written) >= LONG else edits == unequal)


def slipped(written: str, meant: str) -> bool:
    """Whether a word that is one edit away from another may be a slip for it: 'elemnt', 'bocard'; not 'leaving' for 'leaking', 'worker' for 'worked'.

    The first letter is hardly ever wrong, and another ending makes another word, but for the plural.
    """
    if written[0] != meant[0]:
        return False
    if len(written) == len(meant):
        places = [place for place, (one, other) in enumerate(zip(written, meant, strict=True)) if one != other]
        return len(places) == 2 or (places[0] < len(meant) - 1 and frozenset((written[places[0]], meant[places[0]])) in CONFUSED)
    longer, shorter = sorted((written, meant), key=len, reverse=True)
    return longer[:-1] != shorter or longer[-1] == PLURAL
