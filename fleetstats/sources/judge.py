"""What the texts of one row say, as fields of a visit: complaint, item at fault, action, what was fitted and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from fleetstats.vocabulary import Match, Recognition, Vocabulary

Texts = Mapping[str, Recognition]
Fields = dict[str, str | None]
Place = tuple[str, int]
"""Role of a text and number of a match in it: where a field was read from."""


class Candidate(NamedTuple):
    """What may be the item at fault: three ranks (the least wins), item, finding, certainty, and the match that says so."""

    ranks: tuple[int, int, int]
    item: str | None
    mode: str | None
    certainty: str | None
    place: Place | None


@dataclass(frozen=True, kw_only=True)
class Judged:
    """The fields that the texts of a row fill, and the matches that gave complaint, item and action under `symptom_words` and the like."""

    fields: Fields
    places: dict[str, Place | None]

SWAPS = {"ACT_CU_SWAP_NEW": "new", "ACT_CU_SWAP_RECON": "reconditioned", "ACT_CU_SWAP_USED": "used, tested healthy", "ACT_CU_SWAP": None,
         "ACT_CU_REFIT": "own unit put back", "ACT_CU_RECON": "own unit reconditioned"}
"""Actions that take the cooling unit out -> origin of the one fitted; None: by the words around."""

WHOLE = ("ACT_FRIDGE_REPL", "ACT_FRIDGE_CONV")
ORIGIN_WORDS = (("@used", "used, tested healthy"), ("@donor", "used, tested healthy"), ("@recon", "reconditioned"), ("@new", "new"))
REASONS = {"FND_RECALL": "recall", "FND_PLANNED": "age policy", "FND_UPGRADE": "upgrade", "FND_REQUEST": "request"}
FAULTS_OF_UNIT = ("FND_CU_LEAK", "FND_CU_BLOCK", "FND_CU_H2", "FND_CU_BAD", "FND_CU_WEAK")
BODY = ("FND_FR_DOOR", "FND_FR_LINER", "SYM_DOOR")
ONE_SOURCE = ("SYM_NOCOOL_AC", "SYM_NOCOOL_LP", "SYM_NOCOOL_DC")
WORK_ROLES = ("cause_text", "correction_text", "readings_text", "note")
BEFORE_WORK = ("complaint_text", "item_text", "note")


def working_roles(texts: Texts) -> list[str]:
    """Roles of what the shop wrote of its work; of the complaint only where it wrote nothing else."""
    work = [role for role in WORK_ROLES if role in texts and texts[role].text]
    if any(role != "readings_text" for role in work):
        return work
    return [*(role for role in ("complaint_text", "item_text") if role in texts), *work]


def working_texts(texts: Texts) -> list[Recognition]:
    """The texts of `working_roles`."""
    return [texts[role] for role in working_roles(texts)]


def judge_visit(texts: Texts, vocabulary: Vocabulary) -> Judged:
    """The fields of a visit that its texts fill; None where they are silent."""
    action, acted_at = _action(texts, vocabulary)
    called = _called(texts, vocabulary, action, acted_at)
    symptom, complained_at = _symptom(texts, vocabulary)
    removed = action is not None and action.code in SWAPS
    whole = action is not None and action.code in WHOLE
    fields = {
        "symptom": symptom, "called_item": called.item, "called_mode": called.mode, "certainty": called.certainty,
        "action": action.code if action else None,
        "removal_reason": _reason(texts, whole) if removed or whole else None,
        "fitted_kind": "unit" if removed else "whole refrigerator" if whole else None,
        "fitted_origin": _origin(texts, action.code) if action and (removed or whole) else None,
        "detection": "inspection" if _at_inspection(texts) else "in use",
    }
    return Judged(fields=fields, places={"symptom_words": complained_at, "called_words": called.place, "action_words": acted_at})


def judge_bench(texts: Texts, vocabulary: Vocabulary) -> Judged:
    """The fields of a bench test: complaint, item and mode that the sender claimed; mode and verdict the bench wrote."""
    called = _called({role: text for role, text in texts.items() if role != "correction_text"}, vocabulary, None, None)
    found = [match for _, match in _matches(texts, ("correction_text", "note")) if match.facet == "finding" and match.certainty in ("stated", "inferred")]
    verdict = next((match.code for match in found), None)
    outcome = {None: None, "FND_CU_STALL": "restarted", "FND_NFF": "no fault found", "FND_CU_OK": "no fault found"}.get(verdict, "fault confirmed")
    fields = {"sender_symptom": _symptom(texts, vocabulary)[0], "sender_item": called.item, "sender_mode": called.mode,
              "mode": verdict if outcome == "fault confirmed" else None, "outcome": outcome}
    return Judged(fields=fields, places={})


def _matches(texts: Texts, roles: Iterable[str]) -> Iterator[tuple[Place, Match]]:
    for role in roles:
        if role in texts:
            yield from (((role, number), match) for number, match in enumerate(texts[role].matches))


def _symptom(texts: Texts, vocabulary: Vocabulary) -> tuple[str | None, Place | None]:
    """The complaint first, then the cause; leak signs first, then in the order of the vocabulary's file."""
    for role in ("complaint_text", "note", "item_text", "cause_text", "correction_text"):
        found = [(place, match) for place, match in _matches(texts, (role,)) if match.certainty != "ruled out"]
        codes = [(match.code, place) for place, match in found if match.facet == "symptom"]
        codes = codes or [(symptom, place) for place, match in found if match.facet == "finding" and (symptom := vocabulary.entries[match.code][1].symptom)]
        single = {code for code, _ in codes if code in ONE_SOURCE}
        if len(single) > 1:
            codes = [("SYM_NOCOOL" if code in ONE_SOURCE else code, place) for code, place in codes]
        if codes and not (role in ("cause_text", "correction_text") and {code for code, _ in codes} <= {"SYM_GURGLE"}):
            return min(codes, key=lambda one: vocabulary.rank(one[0]))
    return None, None


def _action(texts: Texts, vocabulary: Vocabulary) -> tuple[Match | None, Place | None]:
    """The weightiest action that is stated as done, by the order of the vocabulary's file; corrections before causes."""
    works = [role for role in ("correction_text", "note", "cause_text") if role in texts and texts[role].text]
    for role in works or working_roles(texts):
        done = [(match, place) for place, match in _matches(texts, (role,)) if match.facet == "action" and match.certainty == "stated"]
        if done:
            return min(done, key=lambda one: vocabulary.rank(one[0].code))
    return None, None


def _called(texts: Texts, vocabulary: Vocabulary, action: Match | None, acted_at: Place | None) -> Candidate:
    """Item at fault, finding and certainty: faults stated or inferred, then what was acted on, then suspicions, then 'nothing found', then denials.

    A suspicion that was acted on counts as inferred.
    """
    ranked: list[Candidate] = []
    for order, role in enumerate(working_roles(texts)):
        ranked += [candidate for place, match in _matches(texts, (role,)) for candidate in _candidates(match, place, order, vocabulary)]
    item = vocabulary.item(action.code) if action else None
    if item:
        supposed = [one for one in sorted(ranked, key=lambda one: one.ranks) if one.item == item and one.certainty == "suspected"]
        mode, place = (supposed[0].mode, supposed[0].place) if supposed else (None, acted_at)
        ranked.append(Candidate((2, 0, 0), item, mode, "inferred", place))
    return min(ranked, key=lambda candidate: candidate.ranks, default=Candidate((0, 0, 0), None, None, None, None))


def _candidates(match: Match, place: Place, order: int, vocabulary: Vocabulary) -> Iterator[Candidate]:
    if match.facet == "finding" and match.code not in REASONS:
        vague = match.code == "FND_CU_BAD"
        if match.code == "FND_NFF":
            yield Candidate((4, order, 0), None, match.code, match.certainty, place)
        elif vocabulary.entries[match.code][1].sound:
            yield Candidate((5, order, 1), vocabulary.item(match.code), match.code, "ruled out", place)
        else:
            weight = {"stated": 0, "inferred": 1, "suspected": 3, "ruled out": 5}[match.certainty]
            yield Candidate((weight, int(vague), order), vocabulary.item(match.code), match.code, match.certainty, place)
    elif match.facet == "item" and match.code != "FRIDGE":
        weight = {"stated": 3, "inferred": 3, "suspected": 3, "ruled out": 5}[match.certainty]
        yield Candidate((weight, 2, order), match.code, None, "inferred" if match.certainty == "stated" else match.certainty, place)


def _origin(texts: Texts, code: str) -> str:
    told = SWAPS.get(code)
    if told:
        return told
    for text in working_texts(texts):
        words = text.terms if code in WHOLE else text.free_terms
        if any(match.code == code for match in text.matches):
            for word, origin in ORIGIN_WORDS:
                if word in words:
                    return origin
    return "unknown"


def _reason(texts: Texts, whole: bool) -> str:
    """Why a unit came out: its fault, unless the texts say otherwise; a finding on the unit outweighs a plan, not a recall."""
    told = {match.code for _, match in _matches(texts, texts) if match.certainty in ("stated", "inferred")}
    faulty = any(code in told for code in FAULTS_OF_UNIT)
    for code, reason in REASONS.items():
        if code in told and (not faulty or code == "FND_RECALL"):
            return reason
    return "other" if whole and not faulty and any(code in told for code in BODY) else "fault of the unit"


def _at_inspection(texts: Texts) -> bool:
    """A check named in the complaint or the job; within the work only one named by two words or more ('spring check'), not a bare 'inspected'."""
    if any(match.code == "ACT_INSPECT" for _, match in _matches(texts, BEFORE_WORK)):
        return True
    named = (text.text[match.start:match.end] for text in working_texts(texts) for match in text.matches if match.code == "ACT_INSPECT")
    return any(" " in words.strip() for words in named)
