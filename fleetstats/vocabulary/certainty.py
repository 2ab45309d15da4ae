"""How sure a text is of a code: words of denial, suspicion, recommendation and of the past around it."""

from __future__ import annotations

from collections.abc import Sequence

from fleetstats.vocabulary.entries import Language
from fleetstats.vocabulary.sequence import Sequencer, Unit

WINDOW_BEFORE = 4
WINDOW_BEHIND = 3
LONGEST_CUE = 3
SUPPOSED = ("finding", "item", "symptom")
"""Facets of which an afterthought makes a suspicion; what was done stays done."""


class Cues:
    """The cues of one language, as units. speakers: the units of those that tell who says it."""

    def __init__(self, language: Language, sequencer: Sequencer) -> None:
        def forms(phrases: Sequence[str]) -> frozenset[tuple[str, ...]]:
            return frozenset(sequencer.phrase(phrase) for phrase in phrases)

        doubt = forms((*language.suspecting, *language.recommending))
        self._before = (("ruled out", forms(language.denying)), ("suspected", doubt), ("inferred", forms(language.inferring)))
        self._behind = (("ruled out", forms(language.denied_by)), ("suspected", forms((*language.suspected_by, *language.recommended_by))))
        self._claiming = forms(language.claiming)
        self.speakers = frozenset(form for cue in self._claiming for form in cue)
        self._afterthoughts = forms(language.afterthoughts)
        self._past = forms(language.past)
        self._ending = forms(language.ending)

    def certainty(self, units: Sequence[Unit], taken: Sequence[bool], start: int, end: int, facet: str) -> str:
        """Certainty of the code at units start..end; taken: units that belong to any code."""
        within = [units[place].form for place in range(start, end) if not taken[place]]
        before = [*self._window_before(units, taken, start), *within]
        behind = self._window_behind(units, taken, end)
        said_before, said_behind = _runs(before), _runs(behind)
        for certainty, cues in self._before:
            if not cues.isdisjoint(said_before) and not (certainty == "inferred" and facet == "action"):
                return certainty
        for certainty, cues in self._behind:
            if not cues.isdisjoint(said_behind) and not (certainty == "ruled out" and facet == "action"):
                return certainty
        if (facet == "finding" and not self._claiming.isdisjoint(said_before)) or (facet in SUPPOSED and self._doubted_behind(units, taken, end)):
            return "suspected"
        if facet == "item" and "@ok" in behind[:1]:
            return "ruled out"
        return "inferred" if facet == "action" and not self._past.isdisjoint(_runs([*before, *behind])) else "stated"

    def _window_before(self, units: Sequence[Unit], taken: Sequence[bool], start: int) -> list[str]:
        """Forms before a code back to a stop, an ending word or another code; 'or' carries on over a comma or a code."""
        window: list[str] = []
        place, joined = start - 1, units[start].joins
        while place >= 0 and len(window) < WINDOW_BEFORE and units[place].sentence == units[start].sentence:
            if (taken[place] or units[place].part != units[start].part) and not joined:
                break
            if (units[place].form,) in self._ending:
                break
            window.insert(0, units[place].form)
            joined |= units[place].joins or units[place].holds_joining
            place -= 1
        return window

    def _doubted_behind(self, units: Sequence[Unit], taken: Sequence[bool], end: int) -> bool:
        """'door seal perished, think it lets air in': whether the next part of the sentence begins with a doubt and holds no code of its own."""
        start = next((place for place in range(end, len(units)) if taken[place] or units[place].part != units[end - 1].part), len(units))
        if start == len(units) or units[start].part == units[end - 1].part or units[start].sentence != units[end - 1].sentence:
            return False
        stop = next((place for place in range(start, len(units)) if units[place].part != units[start].part), len(units))
        opening = [units[place].form for place in range(start, min(start + LONGEST_CUE, stop))]
        return not any(taken[start:stop]) and any(tuple(opening[:length]) in self._afterthoughts for length in range(1, len(opening) + 1))

    def _window_behind(self, units: Sequence[Unit], taken: Sequence[bool], end: int) -> list[str]:
        window: list[str] = []
        for place in range(end, min(end + WINDOW_BEHIND, len(units))):
            if taken[place] or units[place].part != units[end - 1].part or (units[place].form,) in self._ending:
                break
            window.append(units[place].form)
        return window


def _runs(window: list[str]) -> set[tuple[str, ...]]:
    """Every run of forms in a window that may be a cue."""
    return {tuple(window[place:place + length]) for length in range(1, LONGEST_CUE + 1) for place in range(len(window) - length + 1)}
