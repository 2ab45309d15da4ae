"""The worth of the next check: order, stop rule, and the caution that goes with a risky one."""

import numpy as np

from fleetstats.decision.checks import check_worths, next_check_words
from fleetstats.decision.modes import mode_table
from fleetstats.safety import Gate

TABLE = mode_table()
WEIGHTS = np.where(TABLE.inside, .7, .3) * TABLE.shares
COSTS = np.stack([np.where(TABLE.inside, 2600.0, 2900.0), np.where(TABLE.inside, 3050.0, 1500.0)])
CLEAR = Gate(state="clear")


def test_answered_checks_are_not_offered_and_the_best_comes_first():
    """What was looked at already is no longer worth anything; the others stand by net worth, and none is worth less than nothing."""
    checks = check_worths(TABLE, {0, 1}, COSTS, WEIGHTS, labour_rate=100, day_cost=50)
    assert "C01" not in [line.check for line in checks]
    assert [line.net for line in checks] == sorted((line.net for line in checks), reverse=True)
    assert all(line.worth >= 0 for line in checks)


def test_nothing_can_change_a_sure_choice():
    """With a hopeless margin between the options no result changes the choice, and the sheet says so; dear waiting makes the useful not worth it."""
    sure = COSTS + np.array([[0.0], [9000.0]])
    hopeless = check_worths(TABLE, set(), sure, WEIGHTS, labour_rate=100, day_cost=0)
    assert next_check_words(hopeless, CLEAR, "remedy", "USD") == "No further check can change the decision."
    dear = check_worths(TABLE, set(), COSTS, WEIGHTS, labour_rate=1e6, day_cost=1e6)
    assert next_check_words(dear, CLEAR, "remedy", "USD") == "No further check is worth its time."


def test_a_risky_check_carries_its_caution():
    """A check that bypasses a protection or opens a gas path is never named without 'qualified person, attended'."""
    risky = [line for line in check_worths(TABLE, set(), COSTS, WEIGHTS, labour_rate=0, day_cost=0) if line.check in ("C16", "C11+C12")]
    assert len(risky) == 2
    assert all("qualified person, attended" in line.caution for line in risky)
    assert "qualified person" in next_check_words((risky[0],), CLEAR, "remedy", "USD")


def test_no_check_under_a_closed_gate():
    """A unit that must not run is not tested in the vehicle."""
    assert "gate is closed" in next_check_words((), Gate(state="closed", finding="smell"), "exchange_new", "USD")
