import pytest

from fleetstats.sources.judge import judge_visit
from fleetstats.vocabulary import load_vocabulary

VOCABULARY = load_vocabulary()


def judged(complaint: str, cause: str, correction: str) -> dict[str, str | None]:
    """The fields of a visit with three texts."""
    texts = {"complaint_text": complaint, "cause_text": cause, "correction_text": correction}
    return judge_visit({role: VOCABULARY.read(text) for role, text in texts.items()}, VOCABULARY).fields


@pytest.mark.parametrize("texts", [
    ("not cooling", "cu suspected", "ordered cooling unit, awaiting parts"), ("not cooling", "element open", "replaced element, cooling unit ok"),
    ("no cool", "bad cooling unit", "customer declined new cooling unit"), ("no cool", "bad cooling unit", "quoted replacement cooling unit"),
    ("not cooling", "no leak found", "advised may need new cooling unit if no better"), ("weak", "?", "do not replace cooling unit"),
    ("had new cooling unit last year, not cooling again", "jet blocked", "cleaned jet"),
    ("not cooling", "cooling unit replaced by previous shop in 2019", "cleaned burner"),
    ("ne refroidit pas", "unité faible", "recommande de remplacer l'unité de refroidissement"),
    ("spring check", "cu ok", "levelled, cooling unit not replaced"), ("not cooling", "thermistor", "replaced thermistor on fridge"),
    ("fridge fan", "fan dead", "swapped fan in fridge"), ("gas smell", "reg creeping", "replaced regulator, fridge ok"),
])
def test_no_removal_is_made_of_advice_denial_history_or_other_parts(texts: tuple[str, str, str]):
    """A unit came out only where the text states that one was fitted or taken out."""
    fields = judged(*texts)
    assert (fields["removal_reason"], fields["fitted_kind"], fields["fitted_origin"]) == (None, None, None)


@pytest.mark.parametrize(("texts", "reason", "kind", "origin"), [
    (("no cool", "cooling unit blocked", "R&R cooling unit with exchange unit"), "fault of the unit", "unit", "reconditioned"),
    (("no cool", "cooling unit blocked", "Removed and replaced cooling unit. Tested OK."), "fault of the unit", "unit", "unknown"),
    (("ne refroidit pas", "unité bloquée", "unité de refroidissement remplacée par une unité reconditionnée"), "fault of the unit", "unit", "reconditioned"),
    (("not cooling", "needs cooling unit", "replaced cooling unit with donor unit from sold van"), "fault of the unit", "unit", "used, tested healthy"),
    (("no cool", "bench tested cooling unit, ok", "original unit refitted"), "fault of the unit", "unit", "own unit put back"),
    (("no cool", "cu low on charge", "recharged own cooling unit and refitted"), "fault of the unit", "unit", "own unit reconditioned"),
    (("age policy", "no fault", "fitted new cooling unit"), "age policy", "unit", "new"),
    (("recall work", "", "cooling unit replaced with new one"), "recall", "unit", "new"),
    (("planned exchange", "cooling unit leaking", "fitted rebuilt cooling unit"), "fault of the unit", "unit", "reconditioned"),
    (("at owner request", "no fault", "fitted new cu"), "request", "unit", "new"),
    (("door hinge broken", "hinge broken", "fitted new fridge"), "other", "whole refrigerator", "new"),
    (("not cooling", "cu leaking", "fitted new fridge"), "fault of the unit", "whole refrigerator", "new"),
    (("upgrade to larger fridge", "", "installed new refrigerator"), "upgrade", "whole refrigerator", "new"),
])
def test_what_was_fitted_and_why(texts: tuple[str, str, str], reason: str, kind: str, origin: str):
    """Condemned is every removal for a fault of the unit, whatever was fitted; plans, recalls, requests and a broken body are told apart."""
    fields = judged(*texts)
    assert (fields["removal_reason"], fields["fitted_kind"], fields["fitted_origin"]) == (reason, kind, origin)


def test_leak_signs_lead_the_complaint_and_two_sources_make_one():
    """Ammonia outweighs 'not cooling'; no cooling on mains and none on gas is no cooling."""
    assert judged("not cooling, ammonia smell", "", "")["symptom"] == "SYM_AMMONIA"
    assert judged("no cool on ac. no cool on lp", "", "")["symptom"] == "SYM_NOCOOL"
    assert judged("not cooling, no ammonia smell", "", "")["symptom"] == "SYM_NOCOOL"


def test_what_the_shop_called_and_how_sure():
    """A stated finding, then what was acted on (a suspicion acted on is inferred), then suspicions, then 'nothing found'."""
    wanted = ("called_item", "called_mode", "certainty")
    cases = {
        ("", "not cu, jet blocked", "cleaned jet"): ("LP_JET", "FND_LP_JET", "stated"),
        ("", "needs cu", "fitted recon cu"): ("CU", "FND_CU_BAD", "inferred"),
        ("", "poss cu leak", "no action"): ("CU", "FND_CU_LEAK", "suspected"),
        ("", "", "replaced thermocouple"): ("LP_FLAMESENSE", None, "inferred"),
        ("", "no fault found", "run test 24h"): (None, "FND_NFF", "stated"),
        ("", "cu ok", ""): ("CU", "FND_CU_OK", "ruled out"),
    }
    assert {texts: tuple(judged(*texts)[name] for name in wanted) for texts in cases} == cases


@pytest.mark.parametrize(("texts", "detection"), [
    (("spring check", "vent blocked", "cleared vent"), "inspection"), (("hab check, fridge warm", "", ""), "inspection"), (("qc in", "", ""), "inspection"),
    (("mise en service printemps", "", ""), "inspection"), (("fridge warm", "found at pre season check", "repl elem"), "inspection"),
    (("fridge warm", "inspected burner", "cleaned burner"), "in use"), (("not cooling", "", ""), "in use"),
])
def test_how_the_fault_was_met(texts: tuple[str, str, str], detection: str):
    """A season check or a check between hires is an inspection; a technician who inspected a burner was called by a complaint."""
    assert judged(*texts)["detection"] == detection


def test_readings_in_a_column_of_their_own_leave_the_work_to_the_other_text():
    """One text for everything and a column of readings: the exchange and the fault stand in the text, the readings are no work."""
    vocabulary = load_vocabulary()
    said = {"complaint_text": "not cooling, cooling unit blocked, fitted new cooling unit", "readings_text": "12.1 v"}
    texts = {role: vocabulary.read(text) for role, text in said.items()}
    fields = judge_visit(texts, vocabulary).fields
    assert (fields["called_mode"], fields["action"], fields["fitted_origin"]) == ("FND_CU_BLOCK", "ACT_CU_SWAP_NEW", "new")
