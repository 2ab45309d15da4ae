"""The sentences: no false precision, and the gate speaks first."""

import pytest

from fleetstats.decision.answer import Evidence
from fleetstats.decision.words import cautions_for, first_step, headline
from fleetstats.results import Estimate
from fleetstats.safety import Gate

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
    assert said in headline("exchange_new", CLEAR, evidence(*numbers), {"AC": 1.0})


def test_gate_speaks_first():
    """A closed gate begins with 'off hire', an unchecked one with look and smell; what stops a unit is named."""
    closed = Gate(state="closed", finding="smell of ammonia reported", about=("leak",))
    assert headline("exchange_new", closed, evidence(.9, .8, .95), {"AC": 1.0}).startswith("Off hire.")
    assert headline("remedy", Gate(state="not checked"), evidence(.1, .05, .2), {"AC": .7, "LP": .3}).startswith("Look and smell")
    assert "smell of ammonia" in first_step(closed)
    assert "300 ppm" in " ".join(cautions_for(closed, "exchange_new", evidence(.9, .8, .95)))


def test_look_and_smell_comes_with_what_to_do_on_a_smell():
    """Whoever is sent to smell for ammonia is told its limit and to get out; where somebody has looked it need not be said."""
    before, after = (" ".join(cautions_for(gate, "remedy", evidence(.1, .05, .2))) for gate in (Gate(state="not checked"), CLEAR))
    assert "people out" in before
    assert "300 ppm" in before
    assert "people out" not in after


def test_remedy_names_the_likeliest_fault():
    """The remedy is that of the most probable outside fault."""
    assert "most likely the gas heat" in headline("remedy", CLEAR, evidence(.1, .05, .2), {"AC": .2, "LP": .8})
