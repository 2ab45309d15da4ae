"""A trie over words: the longest phrase that begins at a place."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, TypeVar

Value = TypeVar("Value")
NUMBER = "#"


class Trie(Generic[Value]):
    """Phrases as sequences of words; `#` in a phrase stands for any number."""

    def __init__(self) -> None:
        self._children: dict[str, Trie[Value]] = {}
        self._value: Value | None = None

    def add(self, words: Sequence[str], value: Value) -> None:
        """A phrase; the last one added under the same words stays."""
        node = self
        for word in words:
            node = node._children.setdefault(word, Trie())
        node._value = value

    def longest(self, words: Sequence[str], start: int, stop: int) -> tuple[int, Value] | None:
        """End (exclusive) and value of the longest phrase from `start` within `stop`; None where there is none."""
        if start >= stop or (words[start] not in self._children and not (NUMBER in self._children and is_number(words[start]))):
            return None
        best: tuple[int, Value] | None = None
        nodes = [self]
        for place in range(start, stop):
            word = words[place]
            found = [node._children[word] for node in nodes if word in node._children]
            if is_number(word):
                found += [node._children[NUMBER] for node in nodes if NUMBER in node._children]
            if not found:
                break
            nodes = found
            for node in nodes:
                if node._value is not None:
                    best = (place + 1, node._value)
                    break
        return best


def is_number(word: str) -> bool:
    """Whether a word is a number such as 12, -4 or 2.75."""
    return word[-1:].isdigit()
