"""A piece of text as chunks between commas, each turned into units once: what a shop says is composed of few of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from fleetstats.vocabulary.sequence import Unit
from fleetstats.vocabulary.trie import Trie
from fleetstats.vocabulary.words import Word

COMMA = ", "


@dataclass(frozen=True, slots=True)
class Phrase:
    """What a phrase stands for; code None: a counter-example. certainty: its own, None to be read from the words around. unnamed: it names no item."""

    code: str | None
    facet: str
    certainty: str | None = None
    unnamed: bool = False


class Span(NamedTuple):
    """A phrase found at units start..end."""

    start: int
    end: int
    phrase: Phrase


@dataclass(frozen=True, slots=True)
class Chunk:
    """What stands between two commas; places are counted from its beginning.

    words: all its words as written. units: what the codes are found in. terms: classes of words met. sentences, parts: how far it and the comma
    behind it carry the count. depends: words that would settle one of its own otherwise if they stood in another chunk. trailing: whether a
    word that carries a denial on stands behind the last unit. strange: whether it holds a word that nobody knows. found: by trie, the phrases
    within it. running: by trie, the units from which a phrase may run on over its end. number: the same for all chunks whose units are the same,
    whatever their words.
    """

    words: tuple[Word, ...]
    units: tuple[Unit, ...]
    terms: frozenset[str]
    sentences: int
    parts: int
    forms: frozenset[str]
    depends: frozenset[str]
    trailing: bool
    strange: bool
    found: tuple[tuple[Span, ...], ...]
    running: tuple[tuple[int, ...], ...]
    number: int


def parted(text: str) -> list[str]:
    """The text of each chunk, without the comma behind it; the blank belongs to the next."""
    first, *others = text.split(COMMA)
    return [first, *(f" {other}" for other in others)]


def independent(chunks: Sequence[Chunk]) -> bool:
    """Whether each chunk says by itself what it says beside the others."""
    if any(chunk.trailing for chunk in chunks[:-1]):
        return False
    return all(chunk.depends.isdisjoint(other.forms) for chunk in chunks if chunk.depends for other in chunks if other is not chunk)


def starts_of(texts: Sequence[str]) -> list[int]:
    """Where each chunk begins in its piece."""
    starts, place = [], 0
    for text in texts:
        starts.append(place)
        place += len(text) + 1
    return starts


def units_of(chunks: Sequence[Chunk], starts: Sequence[int]) -> list[Unit]:
    """The units of the chunks with the places and counts of the whole piece."""
    units: list[Unit] = []
    words = sentence = part = 0
    for chunk, start in zip(chunks, starts, strict=True):
        units += [Unit(one.form, one.first + words, one.last + words, one.start + start, one.end + start, one.sentence + sentence, one.part + part,
                       one.joins, one.holds_joining) for one in chunk.units]
        words, sentence, part = words + len(chunk.words), sentence + chunk.sentences, part + chunk.parts
    return units


def spans_of(chunks: Sequence[Chunk], tries: Sequence[Trie[Phrase]], units: Sequence[Unit]) -> list[list[Span]]:
    """By trie, every phrase in the piece: those within a chunk as they were found, and those that run on over its end."""
    forms = [unit.form for unit in units]
    found: list[list[Span]] = []
    for place, trie in enumerate(tries):
        spans: list[Span] = []
        begin = 0
        for chunk in chunks:
            end = begin + len(chunk.units)
            spans += [Span(start + begin, stop + begin, phrase) for start, stop, phrase in chunk.found[place]] if begin else list(chunk.found[place])
            for start in chunk.running[place] if end < len(units) else ():
                stops = sentence_end(units, start + begin)
                spans += [Span(start + begin, stop, phrase) for stop, phrase in trie.all(forms, start + begin, stops) if stop > end]
            begin = end
        found.append(spans)
    return found


def phrases_within(units: Sequence[Unit], trie: Trie[Phrase]) -> tuple[tuple[Span, ...], tuple[int, ...]]:
    """The phrases of a chunk, and the units from which one may run on over its end."""
    forms = [unit.form for unit in units]
    spans: list[Span] = []
    running: list[int] = []
    for start, form in enumerate(forms):
        if trie.begins(form):
            stop = sentence_end(units, start)
            spans += [Span(start, end, phrase) for end, phrase in trie.all(forms, start, stop)]
            if stop == len(units) and trie.runs_on(forms, start):
                running.append(start)
    return tuple(spans), tuple(running)


def sentence_end(units: Sequence[Unit], start: int) -> int:
    """Where the sentence of a unit ends."""
    sentence = units[start].sentence
    return next((end for end in range(start, len(units)) if units[end].sentence != sentence), len(units))


def words_of(chunks: Sequence[Chunk], starts: Sequence[int]) -> list[Word]:
    """The words of the chunks with the places and counts of the whole piece."""
    words: list[Word] = []
    sentence = part = 0
    for chunk, start in zip(chunks, starts, strict=True):
        words += [Word(one.form, one.start + start, one.end + start, one.sentence + sentence, one.part + part) for one in chunk.words]
        sentence, part = sentence + chunk.sentences, part + chunk.parts
    return words
