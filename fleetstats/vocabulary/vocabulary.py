"""The matcher: codes in free text by longest phrase, composition of words with items, and certainty."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass, field

import numpy as np
import pandas as pd

from fleetstats.vocabulary.certainty import Cues
from fleetstats.vocabulary.entries import Entry, Language
from fleetstats.vocabulary.match import Match, Recognition
from fleetstats.vocabulary.naming import COMMA, belongs_elsewhere, taken_back
from fleetstats.vocabulary.sequence import Sequencer, Unit
from fleetstats.vocabulary.trie import Trie, is_number
from fleetstats.vocabulary.words import Word

REACH = 4
"""Units between a word and the item it is composed with."""

POINTING = ("one", "unit", "autre")
LONGEST_RUN = 6
ADJECTIVE = "@fridge"
"""A term that, next to the name of a part, only says where the part sits."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """What a phrase stands for; code None: a counter-example. certainty: its own, None to be read from the words around. unnamed: it names no item."""

    code: str | None
    facet: str
    certainty: str | None = None
    unnamed: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """A phrase found at units start..end."""

    start: int
    end: int
    phrase: Phrase


@dataclass(frozen=True, kw_only=True)
class Recognitions:
    """What was recognised in many texts: distinct holds one Recognition per distinct text, codes (n,) the place of each text's, -1 where empty."""

    codes: np.ndarray = field(repr=False)
    distinct: tuple[Recognition, ...] = field(repr=False)

    def __len__(self) -> int:
        return len(self.codes)

    def __getitem__(self, place: int) -> Recognition:
        return self.distinct[self.codes[place]] if self.codes[place] >= 0 else EMPTY

    def table(self) -> pd.DataFrame:
        """One row per code found: text (place in the input), code, facet, certainty, start, end."""
        found = ((place, match) for place, code in enumerate(self.codes) if code >= 0 for match in self.distinct[code].matches)
        return pd.DataFrame([(place, *astuple(match)) for place, match in found], columns=["text", "code", "facet", "certainty", "start", "end"])


EMPTY = Recognition(text="", matches=(), terms=frozenset(), free_terms=frozenset(), unmatched=())


class Vocabulary:
    """Codes, their definitions, and the matcher that finds them. `taught` phrases win over shipped ones."""

    def __init__(self, entries: Mapping[str, tuple[str, Entry]], language: Language, taught: Mapping[str, Sequence[str]] | None = None) -> None:
        self.entries = dict(entries)
        taught = taught or {}
        every = [phrase for _, entry in entries.values() for phrase in (*entry.phrases, *entry.unnamed, *entry.suspected, *entry.ruled_out, *entry.not_phrases)]
        own = [phrase for phrases in taught.values() for phrase in phrases]
        self._sequencer = Sequencer(language, [*every, *own], plain=own)
        self._cues = Cues(language, self._sequencer)
        self._taught: Trie[Phrase] = Trie()
        self._phrases: Trie[Phrase] = Trie()
        self._parts: Trie[Phrase] = Trie()
        self._composed: dict[tuple[str, str], str] = {}
        self._rank = {code: place for place, code in enumerate(self.entries)}
        for code, (facet, entry) in self.entries.items():
            self._add(code, facet, entry)
        for code, phrases in taught.items():
            self._add_phrases(self._taught, phrases, Phrase(code, self.entries[code][0]))
            if self.entries[code][0] == "item" and code != "FRIDGE":
                self._add_phrases(self._parts, phrases, Phrase(code, "item"))

    def _add(self, code: str, facet: str, entry: Entry) -> None:
        self._add_phrases(self._phrases, entry.not_phrases, Phrase(None, "none"))
        self._add_phrases(self._phrases, entry.phrases, Phrase(code, facet))
        self._add_phrases(self._phrases, entry.unnamed, Phrase(code, facet, unnamed=True))
        self._add_phrases(self._phrases, entry.suspected, Phrase(code, facet, "suspected"))
        self._add_phrases(self._phrases, entry.ruled_out, Phrase(code, facet, "ruled out"))
        self._add_phrases(self._phrases, entry.passed, Phrase(code, "pass"))
        self._add_phrases(self._phrases, entry.failed, Phrase(code, "fail"))
        if facet == "item" and code != "FRIDGE":
            self._add_phrases(self._parts, entry.phrases, Phrase(code, facet))
        for word in entry.with_words:
            self._composed |= {(word, item): code for item in entry.with_items}

    def _add_phrases(self, trie: Trie[Phrase], phrases: Iterable[str], meaning: Phrase) -> None:
        for phrase in phrases:
            trie.add(self._sequencer.phrase(phrase), meaning)

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
        """Codes in each of the texts; every distinct text is read once."""
        codes, distinct = pd.factorize(pd.Series(texts, dtype="string"))
        return Recognitions(codes=np.asarray(codes), distinct=tuple(self.read(str(text)) for text in distinct))

    def read(self, text: str) -> Recognition:
        """Codes in one text, with certainty and place."""
        words, units = self._sequencer.units(text)
        terms = frozenset(unit.form for unit in units if unit.form[0] == "@")
        units = self._without_adjectives(units)
        spans = self._spans(units)
        taken = [False] * len(units)
        for span in spans:
            taken[span.start:span.end] = [True] * (span.end - span.start)
        spans = [span for span in spans if not (span.phrase.unnamed and self._elsewhere(span, spans, units, taken))]
        spans += self._compose(units, spans, taken)
        forms = [word.form for word in words]
        matches = [self._match(span, spans, units, taken, forms) for span in spans if span.phrase.code is not None]
        matches.sort(key=lambda match: (match.start, match.end, match.code))
        matches = taken_back(matches, self.entries)
        free = frozenset(unit.form for unit, used in zip(units, taken, strict=True) if unit.form[0] == "@" and not used)
        return Recognition(text=text, matches=tuple(matches), terms=terms, free_terms=free, unmatched=self._unmatched(text, words, units, taken))

    def _elsewhere(self, span: Span, spans: list[Span], units: list[Unit], taken: list[bool]) -> bool:
        """'regulator leaking' is no leak of the cooling unit: an unnamed finding goes to what is named beside it."""
        entry = self.entries[span.phrase.code or ""][1]
        known = [(other, other.phrase.code, self.item(other.phrase.code)) for other in spans if other.phrase.code and other is not span]
        others = [(other.start, other.end) for other, code, item in known
                  if (other.phrase.facet == "vehicle" or code in entry.others or item in entry.others) and not self.entries[code][1].sound]
        others += [(place, place + 1) for place, unit in enumerate(units) if not taken[place] and unit.form in entry.others]
        own = [(other.start, other.end) for other, code, item in known if item in entry.with_items or self.entries[code][1].group == "leak"]
        return belongs_elsewhere(units, (span.start, span.end), others, own)

    def _match(self, span: Span, spans: list[Span], units: list[Unit], taken: list[bool], forms: list[str]) -> Match:
        certainty = span.phrase.certainty or self._cues.certainty(units, taken, span.start, span.end, span.phrase.facet, forms)
        assert span.phrase.code is not None
        if certainty == "stated" and span.phrase.facet == "action" and any(self._unsettles(other, span, units) for other in spans):
            certainty = "suspected"
        return Match(code=span.phrase.code, facet=span.phrase.facet, certainty=certainty, start=units[span.start].start, end=units[span.end - 1].end)

    def _unsettles(self, other: Span, span: Span, units: list[Unit]) -> bool:
        """Whether a code such as 'awaiting approval' or 'on order' stands next to an action, in the same part of the sentence."""
        code = other.phrase.code
        if other is span or code is None or not self.entries[code][1].unsettled:
            return False
        return units[other.start].part == units[span.start].part and (other.end == span.start or other.start == span.end)

    def _without_adjectives(self, units: list[Unit]) -> list[Unit]:
        """'fridge element' is an element: the term that only says where a part sits is left out."""
        forms = [unit.form for unit in units]
        return [unit for place, unit in enumerate(units) if not (unit.form == ADJECTIVE and self._beside_part(units, forms, place))]

    def _beside_part(self, units: list[Unit], forms: list[str], place: int) -> bool:
        stop = next((end for end in range(place, len(units)) if units[end].part != units[place].part), len(units))
        if self._parts.longest(forms, place + 1, stop):
            return True
        start = place - 1
        return start >= 0 and units[start].part == units[place].part and self._parts.longest(forms, start, place) is not None

    def _spans(self, units: list[Unit]) -> list[Span]:
        """Phrases that do not overlap: taught ones first, then the longest, then the earliest. Only complaints may run over a comma."""
        forms = [unit.form for unit in units]
        free = [True] * len(units)
        chosen: list[Span] = []
        for trie in (self._taught, self._phrases):
            found = [span for span in self._candidates(trie, units, forms) if _unbroken(span, units)]
            found.sort(key=lambda span: (span.start - span.end, span.phrase.certainty is not None, ADJECTIVE in forms[span.start:span.end], span.start))
            for span in found:
                if all(free[span.start:span.end]):
                    free[span.start:span.end] = [False] * (span.end - span.start)
                    chosen.append(span)
        return chosen

    @staticmethod
    def _candidates(trie: Trie[Phrase], units: list[Unit], forms: list[str]) -> Iterable[Span]:
        stop = 0
        for start in range(len(units)):
            if start >= stop:
                stop = next((end for end in range(start, len(units)) if units[end].sentence != units[start].sentence), len(units))
            end = stop
            while end > start and (found := trie.longest(forms, start, end)):
                yield Span(start, found[0], found[1])
                end = found[0] - 1

    def _compose(self, units: list[Unit], spans: list[Span], taken: list[bool]) -> list[Span]:
        """'replaced the old element': a word of a class and the nearest item within reach make a code."""
        things = [span for span in spans if span.phrase.facet in ("item", "vehicle", "finding", "action")]
        made = []
        for place, unit in enumerate(units):
            if taken[place] or unit.form[0] != "@":
                continue
            near = min(((_reach(units, thing, place), thing.end <= place, order) for order, thing in enumerate(things)), default=(2 * REACH, False, 0))
            thing = things[near[2]] if near[0] <= REACH else None
            code = self._made_of(unit.form, thing) if thing else None
            if thing and code:
                taken[place] = True
                made.append(Span(min(place, thing.start), max(place + 1, thing.end), Phrase(code, self.entries[code][0])))
        return made

    def _made_of(self, word: str, thing: Span) -> str | None:
        """The code of a word next to a thing; a sound item, or one that has a code of this facet already, makes none."""
        if thing.phrase.code is None or self.entries[thing.phrase.code][1].sound:
            return None
        code = self._composed.get((word, self.item(thing.phrase.code) or ""))
        return code if code and self.entries[code][0] != thing.phrase.facet else None

    def _unmatched(self, text: str, words: list[Word], units: list[Unit], taken: list[bool]) -> tuple[str, ...]:
        known = {place for unit, used in zip(units, taken, strict=True) if used or unit.form[0] == "@" for place in range(unit.first, unit.last + 1)}
        runs: list[list[str]] = [[]]
        for place, word in enumerate(words):
            if place in known or is_number(word.form) or not word.form.isalpha() or len(word.form) < 2 or self._sequencer.knows(word.form):
                runs.append([])
            else:
                runs[-1].append(text[word.start:word.end].lower())
        return tuple(" ".join(run[:LONGEST_RUN]) for run in runs if run)


def _unbroken(span: Span, units: list[Unit]) -> bool:
    return span.phrase.facet == "symptom" or units[span.start].part == units[span.end - 1].part


def _reach(units: list[Unit], item: Span, place: int) -> int:
    """Units from a word to an item; far beyond reach where a stop lies between."""
    if units[item.start].sentence != units[place].sentence:
        return 2 * REACH
    gap = item.start - place if item.start > place else place - item.end + 1
    if units[item.start].part == units[place].part:
        return gap
    named = item.phrase.facet in ("item", "vehicle") or _pointed(units, place) or (item.end == place and _alone(units, place))
    return gap + COMMA if named else 2 * REACH


def _alone(units: list[Unit], place: int) -> bool:
    """'element open, replaced': a word that stands alone behind the comma speaks of what stands before it."""
    return place + 1 == len(units) or units[place + 1].part != units[place].part


def _pointed(units: list[Unit], place: int) -> bool:
    """'cooling unit leaking, fitted a new one': the word points back to what was named before the comma."""
    return any(unit.form in POINTING and unit.part == units[place].part for unit in units[place:place + REACH])
