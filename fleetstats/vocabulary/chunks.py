"""A piece of text as chunks between commas, each turned into units once: what a shop says is composed of few of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fleetstats.vocabulary.sequence import Unit
from fleetstats.vocabulary.words import Word

COMMA = ", "


@dataclass(frozen=True, slots=True)
class Chunk:
    """What stands between two commas; places are counted from its beginning.

    words: all its words as written. units: what the codes are found in. terms: classes of words met. sentences, parts: how far it and the comma
    behind it carry the count. depends: words that would settle one of its own otherwise if they stood in another chunk. trailing: whether a
    word that carries a denial on stands behind the last unit. strange: whether it holds a word that nobody knows. number: the same for all
    chunks whose units are the same, whatever their words.
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


def words_of(chunks: Sequence[Chunk], starts: Sequence[int]) -> list[Word]:
    """The words of the chunks with the places and counts of the whole piece."""
    words: list[Word] = []
    sentence = part = 0
    for chunk, start in zip(chunks, starts, strict=True):
        words += [Word(one.form, one.start + start, one.end + start, one.sentence + sentence, one.part + part) for one in chunk.words]
        sentence, part = sentence + chunk.sentences, part + chunk.parts
    return words
