"""Whose fault a phrase tells that names no item, and which findings a later denial takes back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fleetstats.vocabulary.entries import Entry
from fleetstats.vocabulary.match import Match
from fleetstats.vocabulary.sequence import Unit

COMMA = 2
"""What a comma between two words counts."""


def belongs_elsewhere(units: Sequence[Unit], span: tuple[int, int], others: Sequence[tuple[int, int]], own: Sequence[tuple[int, int]], *,
                      ours_beside: bool, others_beside: bool) -> bool:
    """Whether the words at units start..end of `span` speak of something else: 'regulator leaking', 'leak at the gas valve'.

    others, own: places of what it may belong to and of what makes it ours, as unit ranges. What was named nearest in the sentence counts, before rather than
    behind; behind it only what stands in the same part. Where nothing of ours is named in the whole text, another sentence counts as well.
    ours_beside, others_beside: whether the same is named in pieces of the text that are not among the units, others in pieces before them.
    """
    foreign = min((_distance(units, span, place) for place in others if _reaches(units, span, place)), default=None)
    ours = min((_distance(units, span, place) for place in own if _reaches(units, span, place)), default=None)
    if foreign is None:
        return not own and not ours_beside and (others_beside or any(place[1] <= span[0] for place in others))
    return ours is None or foreign < ours


def _reaches(units: Sequence[Unit], span: tuple[int, int], place: tuple[int, int]) -> bool:
    here, there = units[span[0]], units[place[0]]
    return here.sentence == there.sentence and (place[1] <= span[0] or here.part == there.part)


def _distance(units: Sequence[Unit], span: tuple[int, int], place: tuple[int, int]) -> tuple[int, bool]:
    behind = place[0] >= span[1]
    gap = place[0] - span[1] if behind else span[0] - place[1]
    return gap + COMMA * abs(units[span[0]].part - units[place[0]].part), behind


FAR = 60
"""Matches behind a finding among which its denial is looked for; more do not stand in one note."""


def taken_back(matches: tuple[Match, ...], entries: Mapping[str, tuple[str, Entry]]) -> tuple[Match, ...]:
    """The matches in order of place, with a finding ruled out where it is denied behind and nothing was done about its item in between.

    A finding on the cooling unit is denied by the check of it that was passed, too: 'unit leaking, checked, no leak found'.
    """
    denied = [place for place, match in enumerate(matches[:-1]) if match.facet == "finding" and _denied(match, matches[place + 1:place + FAR], entries)]
    if not denied:
        return matches
    return tuple(match._replace(certainty="ruled out") if place in denied else match for place, match in enumerate(matches))


def _denied(match: Match, behind: Sequence[Match], entries: Mapping[str, tuple[str, Entry]]) -> bool:
    if match.certainty == "ruled out":
        return False
    entry = entries[match.code][1]
    for other in behind:
        if other.facet == "action" and other.certainty == "stated" and entries[other.code][1].item in (entry.item, "FRIDGE"):
            return False
        if (other.code == match.code and other.certainty == "ruled out") or (entry.item == "CU" and other.facet == "pass" and other.code == entry.check):
            return True
    return False
