"""Sentences as shops write them: a grammar of items, conditions, doubts, remarks, abbreviations and misspellings."""

from __future__ import annotations

import random
import re
import tomllib
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

BOOK, SECOND = "words", "second_words"
"""The word list that is known to those who improve the recogniser, and the one that is held back."""

REGIONS = ("us", "uk", "au", "ca", "fr", "de")
MARK = re.compile(r"^(us|uk|au|ca|fr|de): ?")
SLOT = re.compile(r"\{(\w+)\}")
SHORT = {
    "element": "elem", "replaced": "repl", "customer": "cust", "pressure": "press", "temperature": "temp", "thermocouple": "t/c", "cooling unit": "cu",
    "not working": "n/w", "without": "w/o", "with": "w/", "and": "&", "freezer": "frzr", "electric": "elec", "control": "ctrl", "burner": "brnr",
    "installed": "inst", "checked": "chkd", "refrigerator": "refrig", "board": "bd", "circuit": "ckt",
}
"""Abbreviations a hurried writer uses. Common practice, no source."""


@cache
def words(book: str = BOOK) -> dict[str, dict[str, list[str]]]:
    """The word lists by facet and code; what another book than the first does not list is taken from the first."""
    loaded: dict[str, Any] = tomllib.loads(Path(__file__).with_name(f"{book}.toml").read_text(encoding="utf-8"))
    return loaded if book == BOOK else {facet: codes | loaded.get(facet, {}) for facet, codes in words().items()}


@cache
def phrases(facet: str, code: str, region: str, book: str = BOOK) -> tuple[str, ...]:
    """Phrases of a code that are used in a region, bare of their marks; Canadians write as their neighbours do, too."""
    listed = words(book)[facet][code]
    foreign = region in ("fr", "de")
    homes = {region, "us"} if region == "ca" else {region}
    kept = [(match[1] if match else "", MARK.sub("", text)) for text in listed for match in [MARK.match(text)]]
    return tuple(text for home, text in kept if home in homes or (not foreign and home == "")) or tuple(text for home, text in kept if home == "")


class Writer:
    """One person's way of writing. haste: share of abbreviated words; slips: share of misspelled ones."""

    def __init__(self, region: str, seed: int, *, haste: float = 0.0, slips: float = 0.0, book: str = BOOK) -> None:
        self.region, self.haste, self.slips, self.book = region, haste, slips, book
        self.random = random.Random(seed)

    def say(self, facet: str, code: str, **given: str) -> str:
        """A phrase for the code, its slots filled."""
        return self.fill(self.random.choice(phrases(facet, code, self.region, self.book)), given)

    def fill(self, template: str, given: dict[str, str] | None = None) -> str:
        """The template with every {SLOT} replaced by what is given, an item or a verb."""
        def one(match: re.Match[str]) -> str:
            name = match[1]
            if given and name in given:
                return given[name]
            return self.say("verbs" if name in words(self.book)["verbs"] else "items", name)
        return SLOT.sub(one, template)

    def hurried(self, text: str) -> str:
        """The text with abbreviations and slips of the pen, by the habits of the writer."""
        if self.region not in ("fr", "de"):
            for long, short in SHORT.items():
                if self.haste and long in text and self.random.random() < self.haste:
                    text = re.sub(rf"\b{long}\b", short, text)
        return " ".join(self._slip(word) for word in text.split(" ")) if self.slips else text

    def _slip(self, word: str) -> str:
        if self.random.random() >= self.slips or len(word) < 6 or not word.isalpha():
            return word
        known = words()["misspelled"].get(word)
        if known:
            return self.random.choice(known)
        place = self.random.randrange(1, len(word) - 2)
        kind = self.random.choice(("lost", "doubled", "turned"))
        if kind == "lost":
            return word[:place] + word[place + 1:]
        return word[:place] + (word[place] * 2 + word[place + 1:] if kind == "doubled" else word[place + 1] + word[place] + word[place + 2:])


def joined(parts: Sequence[str], mark: str) -> str:
    """The parts that say something, joined."""
    return mark.join(part for part in parts if part)
