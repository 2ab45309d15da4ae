"""The matcher: codes in a piece of text by longest phrase, composition of words with items, and certainty."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from fleetstats.vocabulary.certainty import Cues
from fleetstats.vocabulary.chunks import Chunk, Phrase, Span, independent, parted, phrases_within, spans_of, starts_of, units_of, words_of
from fleetstats.vocabulary.compose import Composer
from fleetstats.vocabulary.contrast import Comparer
from fleetstats.vocabulary.entries import Entry, Language, item_of
from fleetstats.vocabulary.match import Match
from fleetstats.vocabulary.naming import belongs_elsewhere
from fleetstats.vocabulary.pieces import Piece
from fleetstats.vocabulary.sequence import Sequencer, Unit, run_ends
from fleetstats.vocabulary.trie import Trie, is_number
from fleetstats.vocabulary.words import Word, normal_form, plain, scan

MOST_SAID = 200_000
"""Chunks, and sequences of chunks whose meaning is kept; beyond it they are worked out anew."""

SOUND, FAULTY = "@ok", "@bad"
"""Classes of words that say of an item that it is in order, or not."""

WHOLE = "CU"
"""Item whose unnamed findings, once they belong elsewhere, make no finding of anything: what leaks beside it may have no code."""

DONE = ("action", "outcome", "pass")
"""Facets that tell what was done."""

WELL = re.compile(r"(?i)[ \t,:-]*(?:ok|good|fine|pass(?:ed)?|bon|correct)\b")
DONE_ONLY = "done"
"""Outcome of a check of which its words say only that it was done."""

LONGEST_RUN = 6
ADJECTIVE = "@fridge"
"""A term that, next to the name of a part, only says where the part sits."""

Meant = tuple[str, str, str, int, int]
Places = list[tuple[int, int]]
"""Ranges of units."""

Heard = frozenset[tuple[str, str]]
"""What other pieces of the text tell (see Piece.told): ("own", code) in any of them, ("other", code) in one before."""


class Said(NamedTuple):
    """What a sequence of units says: code, facet, certainty, first and last unit of each match; units used; the rest as in `Piece`."""

    matches: tuple[Meant, ...]
    free_terms: frozenset[str]
    taken: list[bool]
    unnamed: bool
    told: Heard


class Matcher:
    """Finds the codes of the entries with the words of a language. `taught` phrases win over shipped ones."""

    def __init__(self, entries: Mapping[str, tuple[str, Entry]], language: Language, taught: Mapping[str, Sequence[str]] | None = None) -> None:
        self.entries = dict(entries)
        taught = taught or {}
        every = [phrase for _, entry in entries.values()
                 for phrase in (*entry.phrases, *entry.unnamed, *entry.suspected, *entry.ruled_out, *entry.not_phrases, *entry.undecided)]
        own = [phrase for phrases in taught.values() for phrase in phrases]
        compared = [words for contrast in language.contrast for words in contrast.words()]
        self.sequencer = Sequencer(language, [*every, *own, *compared], plain=own)
        self._cues = Cues(language, self.sequencer)
        self._comparers = tuple(Comparer(contrast, self.sequencer.phrase) for contrast in language.contrast)
        self._taught: Trie[Phrase] = Trie()
        self._phrases: Trie[Phrase] = Trie()
        self._parts: Trie[Phrase] = Trie()
        self._composer = Composer(self.entries, language.pointing)
        self._said: dict[tuple[object, ...], Said] = {}
        self._chunks: dict[str, Chunk] = {}
        self._numbers: dict[tuple[object, ...], int] = {}
        self._general = frozenset(code for code, (facet, entry) in entries.items() if facet == "finding" and entry.item is None)
        self._left_open = frozenset(code for code, (_, entry) in entries.items() if entry.check and entry.outcome == DONE_ONLY)
        self._confirming = frozenset(normal_form(plain(word)) for word in language.confirming)
        self._nameless = tuple(code for code, (_, entry) in entries.items() if entry.unnamed)
        for code, (facet, entry) in self.entries.items():
            self._add(code, facet, entry)
        for code, phrases in taught.items():
            for phrase in phrases:
                # as a text is read: 'fridge vent' is a vent there
                self._taught.add([unit.form for unit in self._without_adjectives(self.sequencer.phrase_units(phrase))], Phrase(code, self.entries[code][0]))
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

    def _add_phrases(self, trie: Trie[Phrase], phrases: Iterable[str], meaning: Phrase) -> None:
        for phrase in phrases:
            trie.add(self.sequencer.phrase(phrase), meaning)

    def read(self, text: str, heard: Heard = frozenset()) -> Piece:
        """Codes in one text or piece of one, with certainty and place. heard: what the text tells beside it."""
        if max(len(self._chunks), len(self._said)) >= MOST_SAID:
            # together: what was said is kept by the numbers of chunks
            for kept in (self._chunks, self._said, self._numbers):
                kept.clear()
        texts = parted(text)
        chunks = [self._chunk(one) for one in texts]
        if len(chunks) > 1 and not independent(chunks):
            texts = [text]
            chunks = [self._chunk(text)]
        starts = starts_of(texts)
        key = (heard, *(chunk.number for chunk in chunks))
        if key not in self._said:
            self._said[key] = self._say(chunks, units_of(chunks, starts), heard)
        said = self._said[key]
        places = [(unit.start + start, unit.end + start) for chunk, start in zip(chunks, starts, strict=True) for unit in chunk.units] if said.matches else []
        matches = tuple(Match(code, facet, certainty, places[first][0], places[last][1], self._praised(code, text, places[last][1]))
                        for code, facet, certainty, first, last in said.matches)
        strange = any(chunk.strange for chunk in chunks)
        return Piece(
            words=text, matches=matches, terms=frozenset().union(*(chunk.terms for chunk in chunks)), free_terms=said.free_terms,
            unmatched=self._unmatched(text, words_of(chunks, starts), units_of(chunks, starts), said.taken) if strange else (),
            wide=tuple(" " in text[match.start:match.end].strip() for match in matches), unnamed=said.unnamed, told=said.told,
        )

    def _praised(self, code: str, text: str, end: int) -> bool:
        return code in self._left_open and WELL.match(text, end) is not None

    def _chunk(self, text: str) -> Chunk:
        if (chunk := self._chunks.get(text)) is None:
            chunk = self._chunks[text] = self._made_chunk(text)
        return chunk

    def _made_chunk(self, text: str) -> Chunk:
        written, sentences, parts = scan(text, self.sequencer.abbreviations)
        words, all_units = self.sequencer.units(written)
        units = tuple(self.sequencer.joined(words, self._without_adjectives(all_units)))
        forms = frozenset(word.form for word in written)
        behind = words[units[-1].last + 1:] if units else words
        found, running = zip(*(phrases_within(units, trie) for trie in (self._taught, self._phrases)), strict=True)
        meant = (sentences, parts, *((unit.form, unit.sentence, unit.part, unit.joins, unit.holds_joining, unit.first == unit.last) for unit in units))
        return Chunk(
            words=tuple(words), units=units, terms=frozenset(unit.form for unit in all_units if unit.form[0] == "@"), sentences=sentences, parts=parts + 1,
            forms=forms, depends=self.sequencer.depends(forms), trailing=any(self.sequencer.joins(word) for word in behind),
            strange=any(self._is_strange(word) for word in words), found=found, running=running,
            number=self._numbers.setdefault(meant, len(self._numbers)),
        )

    def _say(self, chunks: Sequence[Chunk], units: list[Unit], heard: Heard) -> Said:
        """What the units of chunks say, whatever words they were."""
        found = self._spans(chunks, units)
        taken = [False] * len(units)
        for span in found:
            taken[span.start:span.end] = [True] * (span.end - span.start)
        told = frozenset(fact for code in self._nameless for fact in self._told(code, found, units, taken))
        gone = [span for span in found if span.phrase.unnamed and self._elsewhere(span, found, units, taken, heard)]
        spans = [span for span in found if span not in gone]
        for span in gone:
            taken[span.start:span.end] = [item_of(self.entries, span.phrase.code or "") == WHOLE] * (span.end - span.start)
        spans += self._composer(units, spans, taken)
        spans = [self._of_item(span, spans, units) if span.phrase.code in self._general else span for span in spans]
        coded = [(span, span.phrase.code) for span in spans if span.phrase.code is not None]
        matches = sorted(((code, span.phrase.facet, self._certainty(span, spans, units, taken), span.start, span.end - 1) for span, code in coded),
                         key=lambda match: (match[3], match[4], match[0]))
        matches = self._doubted(matches, units)
        free = frozenset(unit.form for unit, used in zip(units, taken, strict=True) if unit.form[0] == "@" and not used)
        return Said(tuple(matches), free, taken, any(span.phrase.unnamed for span in found), told)

    def _told(self, code: str, spans: list[Span], units: list[Unit], taken: list[bool]) -> Iterable[tuple[str, str]]:
        others, own = self._claims(code, None, spans, units, taken)
        if others:
            yield "other", code
        if own:
            yield "own", code

    def _claims(self, code: str, span: Span | None, spans: list[Span], units: list[Unit], taken: list[bool]) -> tuple[Places, Places]:
        """Places of what an unnamed finding may belong to, and of what makes it ours; `span`, its own place, left out."""
        entry = self.entries[code][1]
        known = [(other, other.phrase.code, item_of(self.entries, other.phrase.code)) for other in spans if other.phrase.code and other is not span]
        others = [(other.start, other.end) for other, code, item in known
                  if (other.phrase.facet == "vehicle" or code in entry.others or item in entry.others) and not self.entries[code][1].sound]
        others += [(place, place + 1) for place, unit in enumerate(units) if not taken[place] and unit.form in entry.others]
        own = [(other.start, other.end) for other, code, item in known if item in entry.with_items or self.entries[code][1].group == "leak"]
        return others, own

    def _elsewhere(self, span: Span, spans: list[Span], units: list[Unit], taken: list[bool], heard: Heard) -> bool:
        """'regulator leaking' is no leak of the cooling unit: an unnamed finding goes to what is named beside it."""
        code = span.phrase.code or ""
        others, own = self._claims(code, span, spans, units, taken)
        return belongs_elsewhere(units, (span.start, span.end), others, own, ours_beside=("own", code) in heard,
                                 others_beside=("other", code) in heard)

    def _of_item(self, span: Span, spans: list[Span], units: list[Unit]) -> Span:
        """'board tested ok' says that the board is in order, not that nothing was found: its sound finding, or its fault ruled out."""
        before = next((other for other in spans if other.end == span.start and units[other.start].part == units[span.start].part), None)
        item = item_of(self.entries, before.phrase.code) if before and before.phrase.facet == "item" and before.phrase.code else None
        if before is None or item is None or SOUND not in [unit.form for unit in units[span.start:span.end]]:
            return span
        sound, fault = self._composer.made.get((SOUND, item)), self._composer.made.get((FAULTY, item))
        if sound:
            return Span(before.start, span.end, Phrase(sound, self.entries[sound][0]))
        return Span(before.start, span.end, Phrase(fault, self.entries[fault][0], "ruled out")) if fault else span

    def _certainty(self, span: Span, spans: list[Span], units: list[Unit], taken: list[bool]) -> str:
        certainty = span.phrase.certainty or self._cues.certainty(units, taken, span.start, span.end, span.phrase.facet)
        if certainty in ("stated", "inferred") and span.phrase.facet == "finding" and any(self._denies(other, span, units) for other in spans):
            return "ruled out"
        if certainty == "stated" and span.phrase.facet == "action" and any(self._unsettles(other, span, units) for other in spans):
            return "suspected"
        return certainty

    def _denies(self, other: Span, span: Span, units: list[Unit]) -> bool:
        """'no sign of ammonia leak': the check of a finding was passed directly before it."""
        check = self.entries[span.phrase.code or ""][1].check
        return other.phrase.facet == "pass" and other.phrase.code == check and other.end == span.start and units[other.start].part == units[span.start].part

    def _unsettles(self, other: Span, span: Span, units: list[Unit]) -> bool:
        """Whether a code such as 'awaiting approval' or 'on order' stands next to an action, in the same part of the sentence."""
        code = other.phrase.code
        if other is span or code is None or not self.entries[code][1].unsettled:
            return False
        return units[other.start].part == units[span.start].part and (other.end == span.start or other.start == span.end)

    def _doubted(self, matches: list[Meant], units: list[Unit]) -> list[Meant]:
        """'may have pinhole leak at weld', 'poss air in unit, hydrogen contaminated': what is suspected is not stated by the next words about it.

        They reach to the end of the part of the sentence; of a fault that a check tells, to its end, unless a part says that it was found after all.
        """
        since = {(code, units[first].sentence): units[first].part for code, _, certainty, first, _ in reversed(matches) if certainty == "suspected"}
        found = {unit.part for unit in units if unit.form in self._confirming}

        def doubted(code: str, unit: Unit) -> bool:
            part = since.get((code, unit.sentence))
            return part is not None and (part == unit.part or (part < unit.part and unit.part not in found and self.entries[code][1].check is not None))

        return [(code, facet, "suspected" if certainty == "stated" and doubted(code, units[first]) else certainty, first, last)
                for code, facet, certainty, first, last in matches]

    def _without_adjectives(self, units: list[Unit]) -> list[Unit]:
        """'fridge element' is an element: the term that only says where a part sits is left out."""
        forms = [unit.form for unit in units]
        stops = run_ends([unit.part for unit in units])
        return [unit for place, unit in enumerate(units) if not (unit.form == ADJECTIVE and self._beside_part(units, forms, place, stops[place]))]

    def _beside_part(self, units: list[Unit], forms: list[str], place: int, stop: int) -> bool:
        if self._parts.longest(forms, place + 1, stop):
            return True
        start = place - 1
        return start >= 0 and units[start].part == units[place].part and self._parts.longest(forms, start, place) is not None

    def _spans(self, chunks: Sequence[Chunk], units: list[Unit]) -> list[Span]:
        """Phrases and comparisons that do not overlap: taught ones first, then the longest, then the earliest.

        Only taught phrases and complaints may run over a comma.
        """
        forms = [unit.form for unit in units]
        free = [True] * len(units)
        chosen: list[Span] = []
        compared = [(comparer, comparison) for comparer in self._comparers for comparison in comparer.comparisons(units)]
        made = [Span(found.start, found.end, Phrase(found.code, self.entries[found.code][0])) for _, found in compared if found.code]
        excluded = {(units[found.start].sentence, code) for comparer, found in compared for name in found.well for code in comparer.excluded.get(name, ())}
        taught, shipped = spans_of(chunks, (self._taught, self._phrases), units)
        for found in (taught, [*(span for span in shipped if _unbroken(span, units)), *made]):
            found.sort(key=lambda span: (span.start - span.end, span.phrase.certainty is not None, ADJECTIVE in forms[span.start:span.end], span.start))
            for span in found:
                if all(free[span.start:span.end]):
                    free[span.start:span.end] = [False] * (span.end - span.start)
                    chosen.append(span)
        meant = [span for span in chosen if (units[span.start].sentence, span.phrase.code) not in excluded]
        return [span for span in meant if not (self._vague(span, meant, units) or self._undecided(span, meant, units))]

    def _undecided(self, span: Span, spans: list[Span], units: list[Unit]) -> bool:
        """'gas mode lights but never gets cold': beside a source of energy, or the weather, 'no cooling' may mean one of several complaints."""
        open_words = self.entries[span.phrase.code][1].undecided if span.phrase.code else ()
        if not open_words:
            return False
        parts = {units[place].part for place in range(span.start, span.end)}
        coded = {place for other in spans if other.phrase.facet != "item" for place in range(other.start, other.end)}
        return any(unit.form in open_words and unit.part in parts and place not in coded for place, unit in enumerate(units))

    def _vague(self, span: Span, spans: list[Span], units: list[Unit]) -> bool:
        """'intermittent cooling', 'lets warm air in': one such word means the code only alone in its part, or beside what was done or who says it."""
        unit = units[span.start]
        if span.end > span.start + 1 or unit.first != unit.last or span.phrase.code is None or unit.form not in self.entries[span.phrase.code][1].vague:
            return False
        beside = [place for place in (span.start - 1, span.end) if 0 <= place < len(units) and units[place].part == unit.part]
        return any(units[place].form not in self._cues.speakers and not any(other.start <= place < other.end and other.phrase.facet in DONE for other in spans)
                   for place in beside)

    def _unmatched(self, text: str, words: list[Word], units: list[Unit], taken: list[bool]) -> tuple[str, ...]:
        known = {place for unit, used in zip(units, taken, strict=True) if used or unit.form[0] == "@" for place in range(unit.first, unit.last + 1)}
        runs: list[list[str]] = [[]]
        for place, word in enumerate(words):
            if place and word.sentence != words[place - 1].sentence:
                runs.append([])
            if place in known or not self._is_strange(word):
                runs.append([])
            else:
                runs[-1].append(text[word.start:word.end].lower())
        return tuple(" ".join(run[:LONGEST_RUN]) for run in runs if run)

    def _is_strange(self, word: Word) -> bool:
        """Whether nobody knows the word: it is neither the vocabulary's nor an ordinary one, and no number."""
        return not is_number(word.form) and word.form.isalpha() and len(word.form) > 1 and not self.sequencer.knows(word.form)


def _unbroken(span: Span, units: list[Unit]) -> bool:
    return span.phrase.facet == "symptom" or units[span.start].part == units[span.end - 1].part
