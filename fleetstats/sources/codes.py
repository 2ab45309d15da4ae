"""Columns that hold codes of the vocabulary: a code, or words that it understands."""

from __future__ import annotations

from fleetstats.sources.cell import Fault, Parse
from fleetstats.vocabulary import Vocabulary

CODED = {"symptom": "symptom", "called_item": "item", "called_mode": "finding", "action": "action",
         "sender_symptom": "symptom", "sender_item": "item", "sender_mode": "finding", "mode": "finding"}
"""Canonical column -> facet of its codes."""

REMEDY = "Write a code of 'fleetstats dictionary', or put the words into a text column such as complaint_text; the cell was left empty."


def code_parser(facet: str, vocabulary: Vocabulary) -> Parse:
    """A parser of codes of one facet; words are read through the vocabulary, the weightiest code that they state wins."""
    def parse(value: object) -> object:
        text = " ".join(str(value).split())
        code = text.upper()
        if code in vocabulary.entries and vocabulary.facet(code) == facet:
            return code
        found = [match.code for match in vocabulary.read(text).matches if match.facet == facet and match.certainty in ("stated", "inferred")]
        return min(found, key=vocabulary.rank) if found else Fault(what=f"no code of a {facet}, and no words that mean one", wanted=f"a code of a {facet}",
                                                                   remedy=REMEDY)
    return parse
