"""Columns that hold codes of the vocabulary: a code, or words that it understands."""

from __future__ import annotations

from fleetstats.sources.cell import Fault, Parse
from fleetstats.vocabulary import Vocabulary

CODED = {"symptom": "symptom", "called_item": "item", "called_mode": "finding", "action": "action",
         "sender_symptom": "symptom", "sender_item": "item", "sender_mode": "finding", "mode": "finding"}
"""Canonical column -> facet of its codes."""

REMEDY = "Write a code of 'fleetstats dictionary', or put the words into a text column such as complaint_text; the cell was left empty."


LONGEST = 500
"""Signs of a cell that are read for a code; a longer cell is a text, and belongs into a column of texts."""

ABOUT_THE_UNIT = ("mode",)
"""Columns in which 'blocked' can only be said of a cooling unit: a bench runs nothing else."""


def code_parser(name: str, vocabulary: Vocabulary) -> Parse:
    """A parser of the codes of one column; words are read through the vocabulary, the weightiest code that they state wins."""
    facet = CODED[name]

    def stated(text: str) -> list[str]:
        return [match.code for match in vocabulary.read(text).matches if match.facet == facet and match.certainty in ("stated", "inferred")]

    def parse(value: object) -> object:
        text = " ".join(str(value)[:LONGEST].split())
        code = text.upper()
        if code in vocabulary.entries and vocabulary.facet(code) == facet:
            return code
        found = stated(text) or (stated(f"cooling unit {text}") if name in ABOUT_THE_UNIT else [])
        if found:
            return min(found, key=vocabulary.rank)
        return Fault(what=f"no known code, and no words that mean one: {facet}", wanted=f"a code; facet {facet}", remedy=REMEDY)
    return parse
