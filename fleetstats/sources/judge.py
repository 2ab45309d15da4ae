"""What the texts of one row say, as fields of a visit: complaint, item at fault, action, what was fitted and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fleetstats.vocabulary import Match, Recognition, Vocabulary

Texts = Mapping[str, Recognition]
Fields = dict[str, str | None]
Candidate = tuple[int, int, int, str | None, str | None, str]
"""Three ranks (the least wins), item, finding, certainty."""

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


def working_texts(texts: Texts) -> list[Recognition]:
    """What the shop wrote of its work; the complaint only where it wrote nothing else."""
    work = [texts[role] for role in WORK_ROLES if role in texts and texts[role].text]
    return work or [texts[role] for role in ("complaint_text", "item_text") if role in texts]


def judge_visit(texts: Texts, vocabulary: Vocabulary) -> Fields:
    """The fields of a visit that its texts fill; None where they are silent."""
    action = _action(texts, vocabulary)
    item, mode, certainty = _called(texts, vocabulary, action)
    removed = action is not None and action.code in SWAPS
    whole = action is not None and action.code in WHOLE
    return {
        "symptom": _symptom(texts, vocabulary), "called_item": item, "called_mode": mode, "certainty": certainty,
        "action": action.code if action else None,
        "removal_reason": _reason(texts, whole) if removed or whole else None,
        "fitted_kind": "unit" if removed else "whole refrigerator" if whole else None,
        "fitted_origin": _origin(texts, action.code) if action and (removed or whole) else None,
        "detection": "inspection" if _at_inspection(texts) else "in use",
    }


def judge_bench(texts: Texts, vocabulary: Vocabulary) -> Fields:
    """The fields of a bench test: complaint, item and mode that the sender claimed; mode and verdict the bench wrote."""
    item, mode, _ = _called({role: text for role, text in texts.items() if role != "correction_text"}, vocabulary, None)
    found = [match for match in _matches(texts, ("correction_text", "note")) if match.facet == "finding" and match.certainty in ("stated", "inferred")]
    verdict = next((match.code for match in found), None)
    outcome = {None: None, "FND_CU_STALL": "restarted", "FND_NFF": "no fault found", "FND_CU_OK": "no fault found"}.get(verdict, "fault confirmed")
    return {"sender_symptom": _symptom(texts, vocabulary), "sender_item": item, "sender_mode": mode,
            "mode": verdict if outcome == "fault confirmed" else None, "outcome": outcome}


def _matches(texts: Texts, roles: tuple[str, ...]) -> Iterator[Match]:
    for role in roles:
        if role in texts:
            yield from texts[role].matches


def _symptom(texts: Texts, vocabulary: Vocabulary) -> str | None:
    """The complaint first, then the cause; leak signs first, then in the order of the vocabulary's file."""
    for role in ("complaint_text", "note", "item_text", "cause_text", "correction_text"):
        found = [match for match in _matches(texts, (role,)) if match.certainty != "ruled out"]
        codes = [match.code for match in found if match.facet == "symptom"]
        codes = codes or [symptom for match in found if match.facet == "finding" and (symptom := vocabulary.entries[match.code][1].symptom)]
        if len({code for code in codes if code in ONE_SOURCE}) > 1:
            codes = ["SYM_NOCOOL", *(code for code in codes if code not in ONE_SOURCE)]
        if codes and not (role in ("cause_text", "correction_text") and set(codes) <= {"SYM_GURGLE"}):
            return min(codes, key=vocabulary.rank)
    return None


def _action(texts: Texts, vocabulary: Vocabulary) -> Match | None:
    """The weightiest action that is stated as done, by the order of the vocabulary's file; corrections before causes."""
    works = [texts[role] for role in ("correction_text", "note", "cause_text") if role in texts and texts[role].text]
    for text in works or working_texts(texts):
        done = [match for match in text.matches if match.facet == "action" and match.certainty == "stated"]
        if done:
            return min(done, key=lambda match: vocabulary.rank(match.code))
    return None


def _called(texts: Texts, vocabulary: Vocabulary, action: Match | None) -> tuple[str | None, str | None, str | None]:
    """Item at fault, finding and certainty: faults stated or inferred, then what was acted on, then suspicions, then 'nothing found', then denials.

    A suspicion that was acted on counts as inferred.
    """
    ranked: list[Candidate] = []
    for place, text in enumerate(working_texts(texts)):
        ranked += [candidate for match in text.matches for candidate in _candidates(match, place, vocabulary)]
    item = vocabulary.item(action.code) if action else None
    if item:
        supposed = next((candidate[4] for candidate in sorted(ranked, key=lambda one: one[:3]) if candidate[3] == item and candidate[5] == "suspected"), None)
        ranked.append((2, 0, 0, item, supposed, "inferred"))
    if not ranked:
        return None, None, None
    return min(ranked, key=lambda candidate: candidate[:3])[3:]


def _candidates(match: Match, place: int, vocabulary: Vocabulary) -> Iterator[Candidate]:
    if match.facet == "finding" and match.code not in REASONS:
        vague = match.code == "FND_CU_BAD"
        if match.code == "FND_NFF":
            yield 4, place, 0, None, match.code, match.certainty
        elif vocabulary.entries[match.code][1].sound:
            yield 5, place, 1, vocabulary.item(match.code), match.code, "ruled out"
        else:
            weight = {"stated": 0, "inferred": 1, "suspected": 3, "ruled out": 5}[match.certainty]
            yield weight, int(vague), place, vocabulary.item(match.code), match.code, match.certainty
    elif match.facet == "item" and match.code != "FRIDGE":
        weight = {"stated": 3, "inferred": 3, "suspected": 3, "ruled out": 5}[match.certainty]
        yield weight, 2, place, match.code, None, "inferred" if match.certainty == "stated" else match.certainty


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
    told = {match.code for match in _matches(texts, tuple(texts)) if match.certainty in ("stated", "inferred")}
    faulty = any(code in told for code in FAULTS_OF_UNIT)
    for code, reason in REASONS.items():
        if code in told and (not faulty or code == "FND_RECALL"):
            return reason
    return "other" if whole and not faulty and any(code in told for code in BODY) else "fault of the unit"


def _at_inspection(texts: Texts) -> bool:
    """A check named in the complaint or the job; within the work only one named by two words or more ('spring check'), not a bare 'inspected'."""
    if any(match.code == "ACT_INSPECT" for match in _matches(texts, BEFORE_WORK)):
        return True
    named = (text.text[match.start:match.end] for text in working_texts(texts) for match in text.matches if match.code == "ACT_INSPECT")
    return any(" " in words.strip() for words in named)
