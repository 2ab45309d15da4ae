"""Choice between options: closed forms, decision-theory textbooks, and what must hold whatever the costs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.special import expit, logit
from scipy.stats import norm

from fleetstats.decision.comparison import compare, expected, thresholds, worth_of_check, worth_of_knowing
from fleetstats.decision.rental import downtime_cost, still_down

COSTS = arrays(float, (4, 2), elements=st.floats(-1e4, 1e4))
PROBABILITY = st.floats(.001, .999)
NAMES = ("exchange", "remedy", "verify")


def lines(g: float, b: float, v: float, se: float, sp: float) -> tuple[np.ndarray, np.ndarray]:
    """Losses against the right choice: g when a sound unit is exchanged, b when a failed one is remedied, v for the test of accuracy se, sp."""
    return np.array([0, b, v + (1 - se) * b]), np.array([g, 0, v + (1 - sp) * g])


def test_downtime_by_hand():
    """Seven days at margin 120, rented .8 on five days and .9 on two, still down with 1, 1, .6, .6, .6, .3, .3: 429.60 by hand."""
    rented = np.array([.8] * 5 + [.9] * 2)
    assert downtime_cost(np.array([1, 1, .6, .6, .6, .3, .3]), 120 * rented) == pytest.approx(429.6)


def test_lead_time_from_shelf_or_order():
    """A mixture: 40 % from the shelf in 2 days, else ordered; the expected days add up to the mean lead, the lognormal within the step of a day."""
    assert still_down(.4, 2, 7, 0) == pytest.approx([1, 1, .6, .6, .6, .6, .6, 0])
    assert still_down(0, 0, 20, 8).sum() == pytest.approx(20 + .5, abs=.05)


@pytest.mark.parametrize(("g", "b", "v", "corners"), [
    (1488.397945, 442, 342, [(.771032, "remedy", "exchange")]),
    (1488.397945, 442, 252, [(.704786, "remedy", "verify"), (.798701, "verify", "exchange")]),
    (1098.397945, 286, 186, [(.775384, "remedy", "verify"), (.800271, "verify", "exchange")]),
])
def test_where_the_choice_changes(g, b, v, corners):
    """Closed forms worked by two independent computations (algebra; a grid of 100,001 probabilities): remedy is best up to G/(G+B), a window for
    the test opens only when it costs less than J G B/(G+B), J = .95 + .90 - 1."""
    found = thresholds(NAMES, *lines(g, b, v, .95, .90))
    assert [(pytest.approx(t.value, abs=1e-6), t.below, t.above) for t in found] == corners


def test_a_perfect_test_is_worth_the_loss_it_saves():
    """With a perfect test it beats the exchange as soon as the share of sound units exceeds v/G = .229777."""
    failed, healthy = lines(1488.397945, 442, 342, 1.0, 1.0)
    found = thresholds(("exchange", "verify"), failed[[0, 2]], healthy[[0, 2]])
    assert [(t.below, t.above) for t in found] == [("verify", "exchange")]
    assert 1 - found[0].value == pytest.approx(.229777, abs=1e-6)


def test_worth_of_a_test_is_a_tent_over_the_probability():
    """Largest worth of the test J G B/(G+B) = 289.676597 at G/(G+B), 163.967092 at .55; knowing for certain is worth 340.795997 and 243.1."""
    failed, healthy = lines(1488.397945, 442, 0, .95, .90)
    costs = np.column_stack([failed, healthy])[:2]
    for p, test, certain in ((.771032, 289.676597, 340.795997), (.55, 163.967092, 243.1)):
        assert worth_of_check(costs, np.array([p, 1 - p]), np.array([.95, .10])) == pytest.approx(test, abs=2e-3)
        assert worth_of_knowing(costs[:, 0], costs[:, 1], p) == pytest.approx(certain, abs=2e-3)


def test_oil_wildcatter():
    """Raiffa (1968) Decision Analysis, ch. 2: prior .5, .3, .2, payoffs -70, 50, 200; drilling is worth 20, perfect information 35. The three
    results of the sounding are worth 12.5; here they are entered as two checks of one result each, which can be worth no more."""
    costs = -np.array([[-70.0, 50, 200], [0, 0, 0]])
    prior = np.array([.5, .3, .2])
    assert (costs @ prior).min() == pytest.approx(-20)
    assert worth_of_check(costs, prior, np.array([.6, .3, .1])) == pytest.approx(12.5)


def test_worth_of_four_checks_with_modes():
    """Worked by two independent computations (formula; a tree over the results with normalised posteriors; 4 million simulated units gave
    22.89 +- .10): exchange against remedy, remedy dearer when it is the wrong one first."""
    costs = np.array([[2569.270827, 2569.270827, 2825.270827, 2825.270827], [3011.270827, 3011.270827, 1336.872882, 1778.872882]])
    after = np.array([.184234, .670041, .003979, .141746])
    assert costs @ after == pytest.approx([2606.576404, 2829.921103], abs=2e-3)
    assert worth_of_check(costs, after, np.array([.03, .03, .75, .20])) == pytest.approx(22.778442, abs=2e-3)
    before = np.array([.75 * .35, .75 * .65, .25 * .6, .25 * .4])
    assert costs @ before == pytest.approx([2633.270827, 2636.871341], abs=1e-6)
    tables = ([.03, .03, .75, .20], [.05, .06, .90, .05], [.40, .80, .10, .15], [.96, .95, .12, .45])
    worth = [worth_of_check(costs, before, np.array(bad)) for bad in tables]
    assert worth == pytest.approx([178.427728, 187.435962, 177.167548, 238.605666], abs=1e-6)


def test_no_check_can_change_a_decision_far_from_the_threshold():
    """At p = .207 with the same costs every check is worth exactly nothing: try the outside remedy."""
    costs = np.array([[2569.270827, 2569.270827, 2825.270827, 2825.270827], [3011.270827, 3011.270827, 1336.872882, 1778.872882]])
    prior = np.array([.207048 * .35, .207048 * .65, .792952 * .6, .792952 * .4])
    for bad in ([.03, .03, .75, .20], [.05, .06, .90, .05], [.40, .80, .10, .15], [.96, .95, .12, .45]):
        assert worth_of_check(costs, prior, np.array(bad)) == pytest.approx(0, abs=1e-9)


def test_shares_and_regret_with_the_probability_uncertain():
    """Log-odds normal with SD .6 about p = .55: remedy best in .954402 of it (also Phi of the distance to the threshold), exchange .045598,
    verify never; regret 3.384127, 437.430414, 183.587585; worked by two independent computations (quadrature; here equal-probability strata)."""
    failed, healthy = np.array([2569.270827, 3011.270827, 2933.370827]), np.array([2825.270827, 1336.872882, 1827.712677])
    n = 200_000
    p = expit(logit(.55) + .6 * norm.ppf((np.arange(n) + .5) / n))
    found = compare(expected(np.broadcast_to(failed, (n, 3)), np.broadcast_to(healthy, (n, 3)), p))
    assert found.p_best == pytest.approx([.045598, .954402, 0], abs=6e-6)
    assert norm.cdf((logit(.771032) - logit(.55)) / .6) == pytest.approx(.954402, abs=2e-6)
    assert found.regret == pytest.approx([437.430414, 3.384127, 183.587585], abs=2e-3)


@given(COSTS, PROBABILITY)
def test_knowing_is_never_worth_less_than_nothing(costs, p):
    """Information that costs nothing cannot hurt, and no check is worth more than knowing for certain."""
    whole = worth_of_knowing(costs[:, 0], costs[:, 1], p)
    some = worth_of_check(costs, np.array([p, 1 - p]), np.array([.8, .3]))
    assert 0 <= some <= whole + 1e-6
    assert whole >= 0


@given(COSTS)
def test_thresholds_are_the_corners_of_the_cheapest_line(costs):
    """Between two thresholds the option named there is cheapest (a grid of probabilities agrees); thresholds rise and names join up."""
    names = ("a", "b", "c", "d")
    found = thresholds(names, costs[:, 0], costs[:, 1])
    assert [t.above for t in found[:-1]] == [t.below for t in found[1:]]
    for p in np.linspace(.0005, .9995, 97):
        values = p * costs[:, 0] + (1 - p) * costs[:, 1]
        passed = [t for t in found if t.value <= p]
        if found:
            named = passed[-1].above if passed else found[0].below
            assert values[names.index(named)] <= values.min() + 1e-6 * (1 + np.abs(costs).max())


@given(COSTS, PROBABILITY, st.floats(.01, 100))
def test_another_currency_changes_no_choice(costs, p, rate):
    """Worth scales with the currency, thresholds do not move."""
    here, there = (worth_of_knowing(factor * costs[:, 0], factor * costs[:, 1], p) for factor in (1.0, rate))
    assert there == pytest.approx(rate * here, rel=1e-6, abs=1e-6 * rate)
