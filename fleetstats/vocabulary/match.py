"""What was recognised in a text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Match(NamedTuple):
    """One code found: its facet, how sure the text is of it (stated, inferred, suspected, ruled out), and the place in the text (start, end in signs).

    praised: of a check whose outcome its own words leave open, whether words directly behind say that it went well: 'ran overnight, ok'.
    """

    code: str
    facet: str
    certainty: str
    start: int
    end: int
    praised: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Recognition:
    """Everything found in one text, in order of place.

    terms: classes of words met, e.g. "@fridge"; free_terms: those that belong to no code found; unmatched: runs of words that nobody knows.
    """

    text: str
    matches: tuple[Match, ...]
    terms: frozenset[str]
    free_terms: frozenset[str]
    unmatched: tuple[str, ...]

    def codes(self, facet: str | None = None, *, certainty: str | None = None) -> list[str]:
        """Codes found, of one facet or certainty if asked."""
        return [match.code for match in self.matches if facet in (None, match.facet) and certainty in (None, match.certainty)]
