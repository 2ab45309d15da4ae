"""The gate and the cautions: what closes, what lifts, and that every limit has a source."""

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetstats import tables
from fleetstats.safety import OBSERVATIONS, caution_texts, gate, gates, read_cautions, read_hazards


@pytest.mark.parametrize("facts", [
    {"symptom": "SYM_AMMONIA"}, {"symptom": "SYM_RESIDUE"}, {"symptom": "SYM_FIRE"}, {"checks": {"C01": "fail"}}, {"finding": "FND_CU_LEAK"},
    {"finding": "FND_CT_CUTOUT"}, {"symptom": "SYM_LPSMELL"}, {"symptom": "SYM_COALARM"}, {"symptom": "SYM_BADFLAME"},
    {"recall_open": True}, *({"observations": [word]} for word in OBSERVATIONS),
])
def test_each_stop_closes_the_gate(facts):
    """A smell, residue, fire, leak, scorch, cut-out without cause, run-on or open recall closes the gate and says which."""
    found = gate(**facts)
    assert found.state == "closed"
    assert found.finding


def test_three_states():
    """Nobody looked: not checked. Looked and found nothing: clear. Other checks do not replace the look."""
    assert gate(symptom="SYM_NOCOOL").state == "not checked"
    assert gate(symptom="SYM_NOCOOL", checks={"C17": "pass", "C09": "pass"}).state == "not checked"
    assert gate(symptom="SYM_NOCOOL", checks={"C01": "pass"}).state == "clear"
    assert gate(symptom="SYM_NOCOOL", checks={"C01": "done"}).state == "not checked"


def test_a_reported_smell_stays_closed_though_the_shop_smelt_nothing():
    """A passed look does not lift a reported smell: leaks come and go with heat. Only a recorded exclusion does."""
    assert gate(symptom="SYM_AMMONIA", checks={"C01": "pass"}).state == "closed"
    lifted = gate(symptom="SYM_AMMONIA", checks={"C01": "pass"}, exclusion="cleaning fluid under the seat")
    assert lifted.state == "clear"
    assert "cleaning fluid" in lifted.finding


@given(st.text(min_size=1))
def test_no_words_lift_an_open_recall(words):
    """An exclusion explains a smell; it cannot explain away a recall."""
    assert gate(recall_open=True, exclusion=words).state == "closed"


def test_one_exclusion_does_not_explain_a_leak_and_overheating():
    """'Cleaning fluid' may explain a smell; beside scorch marks the gate stays closed, and both are named."""
    found = gate(symptom="SYM_AMMONIA", observations=["scorch"], checks={"C01": "pass"}, exclusion="cleaning fluid")
    assert found.state == "closed"
    assert "ammonia" in found.finding
    assert "scorch" in found.finding


@pytest.mark.parametrize(("checks", "state"), [({}, "not checked"), ({"C01": "pass"}, "clear"), ({"C01": "fail"}, "closed")])
def test_overheating_explained_away_is_no_look_and_smell(checks, state):
    """A cut-out with a recorded cause says nothing of a leak: C01 still decides."""
    assert gate(finding="FND_CT_CUTOUT", checks=checks, exclusion="loose wire at the cut-out").state == state


@pytest.mark.parametrize("symptom", ["SYM_LPSMELL", "SYM_COALARM", "SYM_BADFLAME"])
def test_gas_side_stays_closed_until_someone_records_it_safe(symptom):
    """A passed look at the unit says nothing of the gas; a record that the gas side was made safe lifts it, but no leak beside it."""
    assert gate(symptom=symptom, checks={"C01": "pass"}).gas_side_only
    lifted = gate(symptom=symptom, checks={"C01": "pass"}, exclusion="hose replaced and leak-tested")
    assert lifted.state == "clear"
    assert "made safe: hose replaced" in lifted.finding
    assert gate(symptom=symptom, exclusion="hose replaced").state == "not checked"
    both = gate(symptom=symptom, checks={"C01": "fail"}, exclusion="hose replaced")
    assert both.state == "closed"
    assert both.gas_side
    assert not both.gas_side_only


def test_gas_and_soot_are_one_side():
    """One record covers the gas side: a smell of gas and soot met together."""
    assert gate(symptom="SYM_LPSMELL", observations=["soot"], checks={"C01": "pass"}, exclusion="burner and hose renewed").state == "clear"


def test_exclusion_alone_is_no_look():
    """An exclusion of nothing does not count as having looked."""
    assert gate(exclusion="old residue").state == "not checked"


def test_gates_of_a_table_agree_with_single_gates():
    """The table gives each visit the gate that its own facts give; what the text rules out closes nothing; order and index stay."""
    visits = tables.VISITS.conform(pd.DataFrame({
        "visit_id": ["a", "b", "c", "d", "e", "f"], "vehicle_id": ["V1", "V2", "V3", "V1", "V2", None],
        "symptom": ["SYM_AMMONIA", "SYM_NOCOOL", "SYM_NOCOOL", None, "SYM_WEAK", "SYM_WEAK"],
        "called_mode": [None, "FND_CU_LEAK", "FND_CU_LEAK", None, None, None], "certainty": [None, "suspected", "ruled out", None, None, None],
    }, index=[3, 1, 4, 1, 5, 9]))
    checks = tables.CHECKS.conform(pd.DataFrame({"visit_id": ["c", "d", "e"], "check": ["C01", "C01", "C09"], "outcome": ["pass", "fail", "pass"]}))
    vehicles = tables.VEHICLES.conform(pd.DataFrame({"vehicle_id": ["V1", "V2", "V3"], "recall_open": [False, None, False]}))
    found = gates(visits, checks, vehicles)
    assert found["gate_state"].tolist() == ["closed", "closed", "clear", "closed", "not checked", "not checked"]
    assert list(found.index) == list(visits.index)
    assert gates(visits, checks, vehicles.assign(recall_open=pd.array([None, True, None], dtype="boolean")))["gate_state"].tolist()[4] == "closed"


def test_limits_as_published():
    """The limits are those of the sources: NIOSH IDLH ammonia 300 ppm, OSHA 50 ppm, 29 CFR 1910.1026 chromium (VI) 5 ug/m3, hydrogen 4 to 75 %."""
    limits = {hazard.code: hazard for hazard in read_hazards()}
    assert limits["ammonia_idlh"].limit == "300 ppm"
    assert limits["ammonia_osha"].limit.startswith("50 ppm")
    assert limits["chromium_osha"].limit.startswith("5 ug/m3")
    assert limits["chromium_osha"].source == "29 CFR 1910.1026"
    assert limits["hydrogen_flammable"].limit.startswith("4 to 75 %")
    assert all(hazard.source for hazard in limits.values())


def test_cautions_always_defer_and_carry_limits():
    """Whatever is asked, the deference to local codes comes first; a leak brings its limits with their sources in the sentence."""
    assert "licensed practice" in caution_texts()[0]
    leak = " ".join(caution_texts("leak"))
    assert "300 ppm" in leak
    assert "29 CFR 1910.1026" in leak
    assert {caution.about for caution in read_cautions()} == {"always", "leak", "unit", "gas", "co", "electric", "heat", "test", "food"}
