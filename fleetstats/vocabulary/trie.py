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
            nodes = self._next(nodes, words[place])
            if not nodes:
                return
            for node in nodes:
                if node._value is not None:
                    yield place + 1, node._value
                    break

    def runs_on(self, words: Sequence[str], start: int) -> bool:
        """Whether the words from `start` to the end are the beginning of a longer phrase."""
        nodes = [self]
        for word in words[start:]:
            nodes = self._next(nodes, word)
        return any(node._children for node in nodes)

    @staticmethod
    def _next(nodes: list[Trie[Value]], word: str) -> list[Trie[Value]]:
        number = word[-1:].isdigit()
        if len(nodes) == 1 and not number:
            # nearly always
            child = nodes[0]._children.get(word)
            return [child] if child is not None else []
        keys = (word, NUMBER) if number else (word,)
        return [child for key in keys for node in nodes if (child := node._children.get(key)) is not None]


def is_number(word: str) -> bool:
    """Whether a word is a number such as 12, -4 or 2.75."""
    return word[-1:].isdigit()
