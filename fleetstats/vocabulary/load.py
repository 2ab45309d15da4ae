"""The vocabulary as shipped, or with a project's own words."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from fleetstats.vocabulary.entries import shipped_entries, shipped_language, taught_words
from fleetstats.vocabulary.vocabulary import Vocabulary


def load_vocabulary(extra: Path | None = None) -> Vocabulary:
    """The shipped vocabulary, with the phrases of `extra` (a words.toml) merged in; made once per content.

    Raises InputRefused where `extra` is missing, not TOML, or names an unknown code.
    """
    taught = taught_words(extra) if extra is not None else {}
    return _made(tuple(sorted(taught.items())))


@lru_cache(maxsize=4)
def _made(taught: tuple[tuple[str, tuple[str, ...]], ...]) -> Vocabulary:
    return Vocabulary(shipped_entries(), shipped_language(), dict(taught))


def definition(code: str) -> str:
    """Definition of a code. Raises KeyError for an unknown one."""
    return shipped_entries()[code][1].definition


def symptom_group(code: str) -> str:
    """Group of a complaint: "leak", "no cooling", "weak" or "other". Raises KeyError for an unknown code."""
    return shipped_entries()[code][1].group or "other"
