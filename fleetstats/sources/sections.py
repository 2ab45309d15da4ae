"""Texts of a row by their role: complaint, cause, correction, parted where one cell holds all three under short headings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.sources.cell import distinct
from fleetstats.sources.masking import mask_all

ROLES = ("complaint_text", "cause_text", "correction_text", "item_text", "readings_text", "note")
HEADINGS = {
    "complaint_text": ("c", "comp", "complaint", "customer states", "cust states", "reported", "concern", "plainte"),
    "cause_text": ("found", "fnd", "cause", "diag", "diagnosis", "finding", "findings", "constat", "trouve"),
    "correction_text": ("did", "done", "corr", "correction", "work done", "action", "repair", "remedy", "fait", "travaux"),
}
"""Words before a colon that say what follows."""

ROLE_OF = {heading: role for role, headings in HEADINGS.items() for heading in headings}
DENYING = frozenset({"no", "not", "nothing", "never", "none", "fault", "isn't", "wasn't", "pas", "rien", "aucun", "aucune", "nicht", "kein", "keine"})
"""Words before a heading that make it part of a sentence: 'no fault found: unit ok'."""

LONGEST_WORD = 12
"""Signs before a heading in which such a word stands."""

COLON = re.compile(r"\s*:\s")
APART = str.maketrans(".;,|/\n\t\r", " " * 8)
"""Signs that may stand before a heading, as blanks."""


@dataclass(frozen=True)
class Spoken:
    """The texts of all rows in one role: place of each row's text among the distinct ones."""

    codes: np.ndarray = field(repr=False)
    texts: np.ndarray = field(repr=False)


def by_role(texts: pd.DataFrame) -> dict[str, Spoken]:
    """The texts masked, under each role met; a row without one has the empty text.

    A cell that holds several roles under headings such as 'found:' and 'did:' is parted into them.
    """
    parted: dict[str, Spoken] = {}
    for name in texts.columns:
        for role, part in _parts(texts[name], name).items():
            parted[role] = _together(parted[role], part) if role in parted else part
    return {role: parted[role] for role in ROLES if role in parted}


def _parts(column: pd.Series, role: str) -> dict[str, Spoken]:
    """The texts of a column masked and parted, each distinct text once."""
    codes, values = distinct(column)
    parts = [*(_part(text, role) for text in mask_all([str(value) for value in values])), {role: ""}]
    roles = [name for name in ROLES if any(name in part for part in parts)]
    return {name: _spoken([part.get(name, "") for part in parts], codes) for name in roles}


def _spoken(texts: Sequence[str], codes: np.ndarray) -> Spoken:
    places, found = pd.factorize(np.array(texts, dtype=object))
    return Spoken(places[codes], found)


def _together(one: Spoken, two: Spoken) -> Spoken:
    """Two texts of each row as one."""
    pairs, codes = np.unique(one.codes * len(two.texts) + two.codes, return_inverse=True)
    joined = [f"{one.texts[pair // len(two.texts)]} / {two.texts[pair % len(two.texts)]}".strip(" /") for pair in pairs.tolist()]
    return _spoken(joined, codes)


def _part(text: str, role: str) -> dict[str, str]:
    marks = list(_marks(text)) if ":" in text else []
    if not marks:
        return {role: text}
    parts = {role: text[:marks[0][1]].strip()}
    for (name, _, start), after in zip(marks, [*marks[1:], None], strict=True):
        words = text[start:after[1] if after else len(text)].strip()
        parts[name] = f"{parts[name]} / {words}" if parts.get(name) else words
    return {name: part for name, part in parts.items() if part}


def _marks(text: str) -> Iterator[tuple[str, int, int]]:
    """Headings in a text: the role each stands for, where it begins, and where what follows does. One of two words counts before its second."""
    low = text.lower() if len(text.lower()) == len(text) else text
    blanks = low.translate(APART)
    for colon in COLON.finditer(low):
        end = colon.start()
        second = blanks.rfind(" ", 0, end)
        for start in (blanks.rfind(" ", 0, max(second, 0)) + 1, second + 1):
            if (role := ROLE_OF.get(low[start:end])) and not _within_words(low, start, end):
                yield role, start, colon.end()
                break


def _within_words(low: str, start: int, end: int) -> bool:
    """Whether what looks like a heading belongs to the words before it: 'A.C: ok', 'not done: waiting'."""
    if end - start == 1 and low[start - 1:start] == ".":
        return True
    before = low[max(0, start - LONGEST_WORD):start].split()
    return bool(before) and before[-1] in DENYING
