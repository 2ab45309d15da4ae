"""Texts that hold complaint, cause and work under short headings, and texts that only look so."""

import pandas as pd
import pytest

from fleetstats.sources.sections import by_role


def parted(*texts: str) -> dict[str, list[str]]:
    """Text of each row by role."""
    return {role: spoken.texts[spoken.codes].tolist() for role, spoken in by_role(pd.DataFrame({"note": texts}, dtype="string")).items()}


@pytest.mark.parametrize(("text", "roles"), [
    ("c: no cool found: bad elem did: replaced", {"complaint_text": "no cool", "cause_text": "bad elem", "correction_text": "replaced"}),
    ("Customer states: warm. Found: elem open. Work done: new elem",
     {"complaint_text": "warm.", "cause_text": "elem open.", "correction_text": "new elem"}),
    ("bay 3. found: jet dirty / did: cleaned, did: tested", {"cause_text": "jet dirty /", "correction_text": "cleaned, / tested", "note": "bay 3."}),
    ("plainte: froid pas / constat: fuite", {"complaint_text": "froid pas /", "cause_text": "fuite"}),
])
def test_headings_part_a_text(text: str, roles: dict[str, str]):
    """Each heading begins its role; the same heading again goes on with it; what stands before the first keeps its own."""
    assert {role: texts[0] for role, texts in parted(text).items() if texts[0]} == roles


@pytest.mark.parametrize("text", ["no cooling A.C: ok on gas", "D.C: 12v, A.C: dead", "No fault found: unit ok", "not done: waiting", "leak not found: gas ok",
                                  "found at 12:30 cold", "ratio c:d"])
def test_words_that_belong_together_are_no_headings(text: str):
    """A letter behind a point, and a heading that the word before it denies, stay where they are: no word is lost and none turned round."""
    assert parted(text) == {"note": [text]}


def test_rows_keep_their_own_texts():
    """Rows with and without headings, and an empty one."""
    assert parted("found: a", "b", "") == {"cause_text": ["a", "", ""], "note": ["", "b", ""]}
