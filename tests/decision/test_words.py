"""The sentences: no false precision, and the gate speaks first."""

import pytest

from fleetstats.decision.answer import Evidence
from fleetstats.decision.words import cautions_for, first_step, headline
from fleetstats.results import Estimate
from fleetstats.safety import Gate
from tests.decision.worked import CASE

CLEAR = Gate(state="clear")


def evidence(value: float, lower: float, upper: float, anchored: bool = False) -> Evidence:
    p = Estimate(estimate=value, lower=lower, upper=upper, level=.9, method="", unit="probability")
    return Evidence(probability=p, anchored=anchored, prior_probability=value, prior_basis="", evidence_log_odds=0.0, steps=(), modes={})


@pytest.mark.parametrize(("numbers", "said"), [
    ((.001, .0001, .004), "unlikely (less than 5 %, 0 to 5 %"), ((.18, .09, .31), "unlikely (about 20 %, 5 to 35 %"),
    ((.52, .30, .70), "possible (about 50 %, 30 to 70 %"), ((.97, .90, .996), "likely (more than 95 %, 90 to 100 %"),
])
def test_probability_in_steps_of_five(numbers, said):
    """Probabilities are said to 5 %, never as none or certain, the interval rounded outwards."""
    assert said in headline("exchange_new", CLEAR, evidence(*numbers), "AC")


def test_gate_speaks_first():
    """A closed gate begins with 'off hire', an unchecked one with look and smell; what stops a unit is named."""
    closed = Gate(state="closed", finding="smell of ammonia reported", about=("leak",))
    assert headline("exchange_new", closed, evidence(.9, .8, .95), "AC").startswith("Off hire.")
    assert headline("remedy", Gate(state="not checked"), evidence(.1, .05, .2), None).startswith("Look and smell")
    assert "smell of ammonia" in first_step(closed)
    assert "300 ppm" in " ".join(cautions_for(closed, "exchange_new", evidence(.9, .8, .95), CASE))


def test_look_and_smell_comes_with_what_to_do_on_a_smell():
    """Whoever is sent to smell for ammonia is told its limit and to get out; where somebody has looked it need not be said."""
    before, after = (" ".join(cautions_for(gate, "remedy", evidence(.1, .05, .2), CASE)) for gate in (Gate(state="not checked"), CLEAR))
    assert "300 ppm" in before
    assert "yellow residue: heat off, people out" in before
    assert "yellow residue" not in after


def test_remedy_names_a_fault_only_where_the_evidence_does():
    """The remedy names the outside fault that the evidence names; else the sheet sends to look for it."""
    assert "most likely the gas heat" in headline("remedy", CLEAR, evidence(.1, .05, .2), "LP")
    unnamed = headline("remedy", CLEAR, evidence(.1, .05, .2), None)
    assert unnamed.startswith("Look for the outside fault first")
    assert "most likely" not in unnamed


@pytest.mark.parametrize(("p", "said"), [
    (.29, "Remedy the outside fault first (not priced)"), (.3, "Verify before deciding (not priced)"), (.7, "Verify before deciding (not priced)"),
    (.71, "A true fault is likely: bench or second opinion before exchanging (not priced)"),
])
def test_advice_without_money_follows_the_probability(p, said):
    """Where nothing is priced the evidence still advises, in three bands, not anchored and without money; a closed gate leaves no remedy."""
    found = headline(None, CLEAR, evidence(p, .1, .9), None)
    assert found.startswith(said)
    assert "not anchored" in found
    closed = headline(None, Gate(state="closed", finding="smell", about=("leak",)), evidence(p, .1, .9), None)
    assert closed.startswith("Off hire. The unit is not run again")


@pytest.mark.parametrize(("about", "first"), [("gas", "Fuel gas: people out"), ("co", "Carbon monoxide: people out")])
def test_gas_side_speaks_of_gas(about, first):
    """Fuel gas and carbon monoxide have their own first step and no advice to exchange; beside scorch marks the unit's option follows them."""
    closed = Gate(state="closed", finding="found", about=(about,))
    assert first_step(closed).startswith(first)
    assert "licensed person" in first_step(closed)
    assert "ammonia" not in first_step(closed)
    assert headline(None, closed, evidence(.9, .8, .95), None) == "Off hire. Gas side first, by a licensed person; no decision about the cooling unit before."
    both = headline("exchange_new", Gate(state="closed", finding="found", about=("heat", about)), evidence(.9, .8, .95), None)
    assert both.startswith("Off hire. Gas side first, by a licensed person. Then: exchange for a new unit")


@pytest.mark.parametrize(("facts", "said"), [
    ({"findings": {"C13": "pass"}}, "carbon monoxide"), ({"symptom": "SYM_FLAMEOUT"}, "carbon monoxide"), ({"findings": {"C09": "pass"}}, "lethal"),
    ({"symptom": "SYM_AMMONIA"}, "29 CFR 1910.1026"), ({"findings": {"C01": "fail"}}, "hydrogen in air"),
])
def test_cautions_hang_on_what_was_met(facts, said):
    """A check of gas or mains, a complaint about the flame, a sign of a leak bring their limits, whatever is priced or advised ('sell' advises none)."""
    case = CASE.model_copy(update={"symptom": None, "findings": {}, **facts})
    met, plain = (" ".join(cautions_for(CLEAR, "sell", evidence(.5, .4, .6), c)) for c in (case, CASE.model_copy(update={"symptom": None, "findings": {}})))
    assert said in met
    assert said not in plain
    assert "local codes" in plain
