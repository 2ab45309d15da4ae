"""Codes as a person says them."""

from __future__ import annotations

from fleetstats.vocabulary import definition


def meaning(code: str) -> str:
    """The definition of a vocabulary code; a word that is no code (from a file of canonical columns) stays as it is."""
    try:
        return definition(code)
    except KeyError:
        return code
