"""Codes that words make together: 'replaced the old element' is the element's replacement, though no phrase says so."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from fleetstats.vocabulary.chunks import Phrase, Span
from fleetstats.vocabulary.entries import Entry, item_of
from fleetstats.vocabulary.naming import COMMA
from fleetstats.vocabulary.sequence import Unit

REACH = 4
"""Units between a word and the item it is composed with."""

REACH_BACK = 3
"""Words that may stand between an item and a word alone behind a comma that speaks of it: 'element open 12 ohm, replaced'."""

THINGS = ("item", "vehicle", "finding", "action")


class Composer:
    """Makes codes of words of a class and the items they stand beside. made: (class, item) -> code."""

    def __init__(self, entries: Mapping[str, tuple[str, Entry]], pointing: Collection[str]) -> None:
        """pointing: words that point back to what was named before."""
        self._entries = entries
        self._pointing = frozenset(pointing)
        self.made = {(word, item): code for code, (_, entry) in entries.items() for word in entry.with_words for item in entry.with_items}

    def __call__(self, units: Sequence[Unit], spans: Sequence[Span], taken: list[bool]) -> list[Span]:
        """The codes made by words that no phrase has taken, each with the nearest thing within reach; they are taken now."""
        things = [span for span in spans if span.phrase.facet in THINGS]
        made = []
        for place, unit in enumerate(units):
            if taken[place] or unit.form[0] != "@":
                continue
            near = min(((self._reach(units, thing, place), thing.end <= place, order) for order, thing in enumerate(things)), default=(2 * REACH, False, 0))
            thing = things[near[2]] if near[0] <= REACH else None
            code = self._made_of(unit.form, thing) if thing else None
            if thing and code:
                taken[place] = True
                made.append(Span(min(place, thing.start), max(place + 1, thing.end), Phrase(code, self._entries[code][0])))
        return made

    def _made_of(self, word: str, thing: Span) -> str | None:
        """The code of a word next to a thing; a sound item, or one that has a code of this facet already, makes none."""
        if thing.phrase.code is None or self._entries[thing.phrase.code][1].sound:
            return None
        code = self.made.get((word, item_of(self._entries, thing.phrase.code) or ""))
        return code if code and self._entries[code][0] != thing.phrase.facet else None

    def _reach(self, units: Sequence[Unit], item: Span, place: int) -> int:
        """Units from a word to an item; far beyond reach where a stop lies between."""
        if units[item.start].sentence != units[place].sentence:
            return 2 * REACH
        gap = item.start - place if item.start > place else place - item.end + 1
        if units[item.start].part == units[place].part:
            return gap
        if item.phrase.facet in ("item", "vehicle"):
            named = item.end <= place or _opens(units, place)
        else:
            named = item.end <= place <= item.end + REACH_BACK and _alone(units, place)
        return gap + COMMA if named or self._pointed(units, place) else 2 * REACH

    def _pointed(self, units: Sequence[Unit], place: int) -> bool:
        """'cooling unit leaking, fitted a new one': the word points back to what was named before the comma."""
        return any(unit.form in self._pointing and unit.part == units[place].part for unit in units[place:place + REACH])


def _opens(units: Sequence[Unit], place: int) -> bool:
    """'replaced: element', not 'insulation ok, element leaking': a word reaches over the comma behind it only from the beginning of its part."""
    return place == 0 or units[place - 1].part != units[place].part


def _alone(units: Sequence[Unit], place: int) -> bool:
    """'element open, replaced': a word that stands alone behind the comma speaks of what stands before it."""
    return place + 1 == len(units) or units[place + 1].part != units[place].part
