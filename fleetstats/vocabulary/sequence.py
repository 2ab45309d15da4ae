"""From words to units: ambiguous words settled by their neighbours, ignored ones left out, misspelt ones mended, word groups put under one term."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from fleetstats.vocabulary.entries import Context, Language
from fleetstats.vocabulary.spelling import Speller
from fleetstats.vocabulary.trie import Trie, is_number
from fleetstats.vocabulary.words import Word, normal_form, split_words

MOST_KEPT = 200_000
"""Words whose meaning is kept; beyond it they are looked up anew."""

SHORTENED = re.compile(r"([a-zà-ÿ]+)\.(?=\s)")
UNIT = "@cu"
"""A term whose words are never parted by one that begins before it: 'not the cooling unit' does not say 'not cooling'."""


class Unit(NamedTuple):
    """A word, or a group of words under the name of its term; first and last word, place in the text, sentence and part.

    joins: whether its first word, or one left out before it, carries a denial on ("or"); holds_joining: whether a later word of it does.
    """

    form: str
    first: int
    last: int
    start: int
    end: int
    sentence: int
    part: int
    joins: bool = False
    holds_joining: bool = False


class Sequencer:
    """Turns a text into units with one language's words."""

    def __init__(self, language: Language, phrases: Sequence[str], plain: Sequence[str] = ()) -> None:
        """abbreviations, numbers: those that the language and the phrases know.

        phrases: of the vocabulary. plain: words that keep their usual meaning whatever stands beside them; a full stop within them ends no sentence.
        """
        self._ignored = {normal_form(word) for word in language.ignored}
        shortened = [word for phrase in plain for word in SHORTENED.findall(phrase.lower())]
        self.abbreviations = frozenset(normal_form(word) for word in (*language.abbreviations, *shortened))
        self._joining = frozenset(language.joining)
        self._written = {normal_form(other): normal_form(word) for word, others in language.written.items() for other in others}
        self._terms: Trie[str] = Trie()
        known: set[str] = set()
        for name, variants in language.terms.items():
            for variant in variants:
                words = self._kept_forms(variant)
                self._terms.add(words, name)
                known |= set(words)
        for phrase in (*phrases, *language.claiming, *language.denying, *language.suspecting, *language.recommending, *language.inferring, *language.past,
                       *language.ending, *language.denied_by, *language.suspected_by, *language.recommended_by, *language.joining):
            known |= set(self._kept_forms(phrase))
        classes = {words[0]: name for name, variants in language.terms.items() for variant in variants if len(words := self._kept_forms(variant)) == 1}
        self._spell = Speller(known, {normal_form(word) for word in language.ordinary} | self._ignored, classes)
        self._meant = _Meant(self._written, self._spell)
        self._context: dict[str, list[Context]] = {}
        beside = {word for rule in language.context for place in (rule.before, rule.after, rule.near, rule.unless) for word in place}
        self.numbers = frozenset(word for word in known | beside if is_number(word))
        kept = {normal_form(word.lower()) for word in plain}
        for rule in (rule for rule in language.context if normal_form(rule.word) not in kept):
            self._context.setdefault(normal_form(rule.word), []).append(_normal(rule))

    def units(self, words: list[Word]) -> tuple[list[Word], list[Unit]]:
        """The words of a text, ambiguous ones settled, and its units."""
        if not self._context.keys().isdisjoint([word.form for word in words]):
            words = self._settled(words)
        kept = [(place, word) for place, word in enumerate(words) if word.form not in self._ignored]
        return words, self._grouped(kept, [self._meant[word.form] for _, word in kept])

    def depends(self, forms: Iterable[str]) -> frozenset[str]:
        """Words that settle one of these wherever they stand in its sentence."""
        return frozenset(word for form in forms for rule in self._context.get(form, ()) for word in (*rule.near, *rule.unless))

    def joins(self, word: Word) -> bool:
        """Whether a word carries a denial on ("or")."""
        return word.form in self._joining

    def joined(self, words: Sequence[Word], units: Sequence[Unit]) -> list[Unit]:
        """The units with what is said of joining words in and between them."""
        if self._joining.isdisjoint([word.form for word in words]):
            return list(units)
        marked, before = [], 0
        for unit in units:
            joins = any(word.form in self._joining for word in words[before:unit.first + 1])
            marked.append(unit._replace(joins=joins, holds_joining=any(word.form in self._joining for word in words[unit.first + 1:unit.last + 1])))
            before = unit.last + 1
        return marked

    def phrase(self, phrase: str) -> tuple[str, ...]:
        """The forms of a phrase's units."""
        return tuple(unit.form for unit in self.phrase_units(phrase))

    def phrase_units(self, phrase: str) -> list[Unit]:
        """The units of a phrase of the vocabulary; its words have their usual meaning."""
        words = split_words(phrase, self.abbreviations)
        kept = [(place, word) for place, word in enumerate(words) if word.form not in self._ignored]
        return self._grouped(kept, [self._written.get(word.form, word.form) for _, word in kept])

    def knows(self, word: str) -> bool:
        """Whether a word is the vocabulary's, ordinary or ignored."""
        return word in self._written or self._spell.knows(self._meant[word])

    def holds(self, word: str) -> bool:
        """Whether a word is the vocabulary's, ordinary or ignored just as it is written, no slip mended."""
        return word in self._written or self._spell.knows(word)

    def _kept_forms(self, phrase: str) -> list[str]:
        forms = [word.form for word in split_words(phrase, self.abbreviations) if word.form not in self._ignored]
        return [self._written.get(form, form) for form in forms]

    def _grouped(self, kept: list[tuple[int, Word]], forms: list[str]) -> list[Unit]:
        units, place = [], 0
        stops = run_ends([word.part for _, word in kept])
        while place < len(kept):
            stop = stops[place]
            end, form = (self._terms.longest(forms, place, stop) if self._terms.begins(forms[place]) else None) or (place + 1, forms[place])
            if end > place + 1 and any((inner := self._terms.longest(forms, later, stop)) and inner[1] == UNIT and inner[0] > end
                                       for later in range(place + 1, end)):
                end, form = place + 1, forms[place]
            (first, opening), (last, closing) = kept[place], kept[end - 1]
            units.append(Unit(form, first, last, opening.start, closing.end, opening.sentence, opening.part))
            place = end
        return units

    def _settled(self, words: list[Word]) -> list[Word]:
        """Ambiguous words replaced where their neighbours say what they mean."""
        settled = []
        for place, word in enumerate(words):
            rules = self._context.get(word.form)
            rule = next((rule for rule in rules if _applies(rule, words, place)), None) if rules else None
            settled.append(word if rule is None else Word(rule.becomes, word.start, word.end, word.sentence, word.part))
        return settled


class _Meant(dict[str, str]):
    """A word to the vocabulary's word that it stands for, another writing or a slip; itself where there is none."""

    def __init__(self, written: Mapping[str, str], spell: Speller) -> None:
        self._written = written
        self._spell = spell

    def __missing__(self, word: str) -> str:
        if len(self) >= MOST_KEPT:
            self.clear()
        self[word] = self._spell(self._written.get(word, word))
        return self[word]


def run_ends(values: Sequence[object]) -> list[int]:
    """For every place, where the run of equal values that it stands in ends; in one walk, since a text may be very long."""
    ends = list(range(1, len(values) + 1))
    for place in range(len(values) - 2, -1, -1):
        if values[place] == values[place + 1]:
            ends[place] = ends[place + 1]
    return ends


def _normal(rule: Context) -> Context:
    words = {place: tuple(normal_form(word) for word in getattr(rule, place)) for place in ("before", "after", "near", "unless")}
    return rule.model_copy(update={"becomes": normal_form(rule.becomes), **words})


def _applies(rule: Context, words: list[Word], place: int) -> bool:
    sentence = words[place].sentence
    beside = [word for word in words[max(0, place - 8):place + 9] if word.sentence == sentence]
    if any(word.form in rule.unless for word in beside):
        return False
    if rule.near and any(word.form in rule.near for word in beside):
        return True
    before = words[place - 1].form if place and words[place - 1].part == words[place].part else ""
    after = words[place + 1].form if place + 1 < len(words) and words[place + 1].part == words[place].part else ""
    return _among(before, rule.before) or _among(after, rule.after)


def _among(form: str, forms: tuple[str, ...]) -> bool:
    return form in forms if not is_number(form) else form in forms or "#" in forms
