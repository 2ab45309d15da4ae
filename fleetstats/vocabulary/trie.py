"""A trie over words: the phrases that begin at a place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Generic, TypeVar

Value = TypeVar("Value")
NUMBER = "#"


class Trie(Generic[Value]):
    """Phrases as sequences of words; `#` in a phrase stands for any number."""

    __slots__ = ("_children", "_value")

    def __init__(self) -> None:
        self._children: dict[str, Trie[Value]] = {}
        self._value: Value | None = None

    def add(self, words: Sequence[str], value: Value) -> None:
        """A phrase; the last one added under the same words stays."""
        node = self
        for word in words:
            node = node._children.setdefault(word, Trie())
        node._value = value

    def begins(self, word: str) -> bool:
        """Whether a phrase begins with the word."""
        return word in self._children or (NUMBER in self._children and is_number(word))

    def longest(self, words: Sequence[str], start: int, stop: int) -> tuple[int, Value] | None:
        """End (exclusive) and value of the longest phrase from `start` within `stop`; None where there is none."""
        best = None
        for best in self.all(words, start, stop):  # noqa: B007
            pass
        return best

    def all(self, words: Sequence[str], start: int, stop: int) -> Iterator[tuple[int, Value]]:
        """End (exclusive) and value of every phrase from `start` within `stop`, the shortest first; a word itself comes before `#`."""
        nodes = [self]
        for place in range(start, stop):
            word = words[place]
            found = [child for node in nodes if (child := node._children.get(word)) is not None]
            if word[-1:].isdigit():
                found += [child for node in nodes if (child := node._children.get(NUMBER)) is not None]
            if not found:
                return
            nodes = found
            for node in nodes:
                if node._value is not None:
                    yield place + 1, node._value
                    break


def is_number(word: str) -> bool:
    """Whether a word is a number such as 12, -4 or 2.75."""
    return word[-1:].isdigit()
