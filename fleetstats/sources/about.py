"""Whether a row of a file with other work in it is about the refrigerator."""

from __future__ import annotations

from collections.abc import Mapping

from fleetstats.vocabulary import Match, Recognition, Vocabulary

NAMES = frozenset({"@fridge", "@cu", "@freezer", "@box"})
OTHER_OUTCOMES = ("ACT_DIAGNOSE", "ACT_INSPECT", "ACT_NONE", "ACT_RESET", "ACT_RUNTEST", "ACT_DISPOSE", "ACT_PART_ORDER", "ACT_PART_WAIT")

COOLING = ("no cooling", "weak")


def is_refrigerator(texts: Mapping[str, Recognition], vocabulary: Vocabulary) -> bool:
    """Whether the texts of a row are about the refrigerator: it is named, and no work on the vehicle outweighs a bare mention.

    Where it is not named, a complaint that only a refrigerator causes does as well, or one about cooling together with work on one of its parts.
    """
    matches = [match for text in texts.values() for match in text.matches]
    own = [match for match in matches if _is_own(match, vocabulary)]
    named = any(text.terms & NAMES for text in texts.values())
    other = [match for match in matches if match.facet == "vehicle"]
    if not other:
        return named or bool(own) or _cooling_mended(matches, vocabulary)
    if not named:
        return False
    job = texts.get("item_text")
    if job is not None and job.terms & NAMES:
        return True
    complaint = texts.get("complaint_text")
    asked = complaint is not None and bool(complaint.terms & NAMES) and not any(match.facet == "vehicle" for match in complaint.matches)
    worked = [match for match in matches if _is_work(match)]
    return asked or (bool(worked) and len(worked) >= len(other))


def _is_own(match: Match, vocabulary: Vocabulary) -> bool:
    return match.facet in ("item", "symptom") and vocabulary.entries[match.code][1].refrigerator


def _cooling_mended(matches: list[Match], vocabulary: Vocabulary) -> bool:
    """'No cooling, board replaced': nothing else in a vehicle that cools has these parts and no name of its own here."""
    complained = any(match.facet == "symptom" and vocabulary.symptom_group(match.code) in COOLING for match in matches)
    return complained and any(match.facet in ("finding", "action") and vocabulary.item(match.code) not in (None, "FRIDGE") for match in matches)


def _is_work(match: Match) -> bool:
    """A complaint, finding or repair of the refrigerator or its parts."""
    return match.facet in ("symptom", "finding", "action") and match.code not in OTHER_OUTCOMES
