"""What would teach an unknown text: the nearest known phrase, and the lines of words.toml."""

from __future__ import annotations

import json
from functools import lru_cache

import pandas as pd
from rapidfuzz import fuzz, process

from fleetstats.vocabulary.entries import shipped_entries
from fleetstats.vocabulary.load import load_vocabulary
from fleetstats.vocabulary.words import normal_form, plain

NEAR = 88.0
"""Least likeness in percent (share of equal letters in order) at which a phrase is worth showing: below it the meaning is hardly ever the same."""

MOST_TRIED = 5


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
    """The likest phrase from which the text differs in words alone that nobody knows: a word that is known means something else ('unit weak')."""
    phrases, low = _phrases(), plain(text)
    known = {normal_form(word) for word in low.split() if load_vocabulary().holds(word)}
    near = process.extract(low, phrases.keys(), scorer=fuzz.ratio, score_cutoff=NEAR, limit=MOST_TRIED)
    phrase = next((phrase for phrase, _, _ in near if known <= set(map(normal_form, phrase.split()))), None)
    return (None, None) if phrase is None else (phrase, phrases[phrase])


@lru_cache(maxsize=1)
def _phrases() -> dict[str, str]:
    """Phrases of two words or more that a person can read -> code."""
    return {plain(phrase): code for code, (_, entry) in shipped_entries().items() for phrase in entry.phrases
            if " " in phrase and "@" not in phrase and "#" not in phrase}
