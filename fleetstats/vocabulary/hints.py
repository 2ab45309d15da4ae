"""What would teach an unknown text: the nearest known phrase, and the lines of words.toml."""

from __future__ import annotations

import json
from functools import lru_cache

import pandas as pd
from rapidfuzz import fuzz, process

from fleetstats.vocabulary.entries import shipped_entries
from fleetstats.vocabulary.words import plain

NEAR = 80.0
"""Least likeness in percent (weighted ratio of rapidfuzz) at which a phrase is worth showing."""


def teaching(unknown: pd.DataFrame) -> pd.DataFrame:
    """The list of unknown texts with `near_phrase`, `near_code` (empty where none is alike) and `teach`, what to write into words.toml.

    unknown: as in Fleet, columns text, count, example, file, sheet, row. Likeness is of spelling: whether the meaning is the same, a person decides.
    """
    near = [_nearest(str(text)) for text in unknown["text"]]
    codes = [code for _, code in near]
    teach = [f"[words.{code or 'CODE'}]\nphrases = [{json.dumps(str(text), ensure_ascii=False)}]" for text, code in zip(unknown["text"], codes, strict=True)]
    return unknown.assign(near_phrase=pd.array([phrase for phrase, _ in near], dtype="string"), near_code=pd.array(codes, dtype="string"),
                          teach=pd.array(teach, dtype="string"))


def _nearest(text: str) -> tuple[str | None, str | None]:
    phrases = _phrases()
    found = process.extractOne(plain(text), phrases.keys(), scorer=fuzz.WRatio, score_cutoff=NEAR)
    return (None, None) if found is None else (found[0], phrases[found[0]])


@lru_cache(maxsize=1)
def _phrases() -> dict[str, str]:
    """Phrases of two words or more that a person can read -> code."""
    return {plain(phrase): code for code, (_, entry) in shipped_entries().items() for phrase in entry.phrases
            if " " in phrase and "@" not in phrase and "#" not in phrase}
