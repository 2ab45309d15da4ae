"""Codes as a person says them."""

from __future__ import annotations

from fleetstats.vocabulary import definition


def meaning(code: str) -> str:
    """The definition of a vocabulary code without its full stop; a word that is no code (from a file of canonical columns) stays as it is."""
    try:
        return definition(code).rstrip(".")
    except KeyError:
        return code
