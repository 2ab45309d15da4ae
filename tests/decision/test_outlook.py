"""The outlook: figures worked by two independent computations, and limiting cases with closed forms."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import gamma, gammaincc

from fleetstats.decision.hazards import weibull
from fleetstats.decision.outlook import Life, Stay, Successor, Terms, expected_renewals, outlook, renewals

RENTED = np.array([.15, .20, .40, .55, .65, .80, .90, .90, .70, .50, .25, .15])
ONE = np.ones(1)
NEW = Life(failure=weibull(1.8, 14.0), outside=.25 * ONE, needless_share=.25 * ONE)
RECONDITIONED = replace(NEW, failure=weibull(1.2, 11.0))
NEW_UNIT, RECONDITIONED_UNIT = Successor(fixed=900 + 480 + 90 - 100, days=7), Successor(fixed=650 + 480 + 90 - 100, days=5)
TERMS_NEW = Terms(remedy_fixed=160, remedy_days=1, warranty_credit=900, warranty_years=2, exit_gain=200)
TERMS_RECONDITIONED = replace(TERMS_NEW, warranty_credit=650, warranty_years=1)
QUIET = replace(NEW, outside=0 * ONE)
NOTHING = Terms(remedy_fixed=0, remedy_days=0)


def stay_from_june(per_month: int = 1, years: int = 5) -> Stay:
    """Five years from 1 June, margin 120 a rented day, real rate 4 %."""
    cells = years * 12 * per_month
    return Stay(day_cost=120 * RENTED[(5 + np.arange(cells) // per_month) % 12], step_years=1 / 12 / per_month, real_rate=.04)


@pytest.mark.parametrize(("per_month", "expected"), [
    (1, (969.270827, 851.152912, 1080.872882)), (4, (969.278301, 851.155827, 1080.885308)), (16, (969.278684, 851.156008, 1080.886040)),
])
def test_outlook_of_three_units(per_month, expected):
    """Worked by two independent computations (the recursion at three grids; 8 million simulated paths in continuous time gave 968.92 +- .37,
    851.65 +- .40, 1080.87 +- .38): reconditioned followed by reconditioned, new by new, a new unit aged 6 followed by reconditioned."""
    stay = stay_from_june(per_month)
    after = renewals(RECONDITIONED, stay, RECONDITIONED_UNIT, TERMS_RECONDITIONED)
    new = renewals(NEW, stay, NEW_UNIT, TERMS_NEW)
    keep = outlook(replace(NEW, age_years=6.0), stay, RECONDITIONED_UNIT, TERMS_NEW, after)
    assert (after[0, -1], new[0, -1], keep[0]) == pytest.approx(expected, abs=1e-6)


def test_new_unit_followed_by_reconditioned_ones():
    """A first life of another kind: 747.184146 on the monthly grid, worked by two independent computations."""
    stay = stay_from_june()
    after = renewals(RECONDITIONED, stay, RECONDITIONED_UNIT, TERMS_RECONDITIONED)
    assert outlook(NEW, stay, RECONDITIONED_UNIT, TERMS_NEW, after)[0] == pytest.approx(747.184146, abs=1e-6)


def test_outlook_against_simulated_paths():
    """20,000 paths in continuous time, written without the recursion: the mean agrees within 4 of its standard errors."""
    rng, total = np.random.default_rng(5), np.zeros(20_000)
    for path in range(len(total)):
        total[path] = one_path(rng)
    value = renewals(RECONDITIONED, stay_from_june(16), RECONDITIONED_UNIT, TERMS_RECONDITIONED)[0, -1]
    assert abs(total.mean() - value) < 4 * total.std() / np.sqrt(len(total))


def one_path(rng: np.random.Generator) -> float:
    """One stay of five years: failures, needless removals, repairs, warranty, resale."""
    now, born, cost = 0.0, 0.0, 0.0
    fails = 11 * rng.exponential() ** (1 / 1.2)
    outside = rng.exponential(4)
    while (now := min(born + fails, outside)) < 5:
        day, v = 120 * RENTED[int(5 + now * 12) % 12], 1.04 ** -now
        failed = born + fails <= outside
        swapped = failed or rng.random() < .25
        cost += v * (0 if failed else 160 + day)
        cost += v * (1120 + 5 * day - (650 if failed and fails < 1 else 0)) if swapped else 0
        outside = outside if failed else now + rng.exponential(4)
        born, fails = (now, 11 * rng.exponential() ** (1 / 1.2)) if swapped else (born, fails)
    return cost - 1.04 ** -5 * 200 * (1 - (5 - born) / 10)


@pytest.mark.parametrize(("rate", "exact", "monthly", "fine"), [(0.0, 454.545455, 454.543281, 454.545319), (.04, 412.752435, 412.747843, 412.752148)])
def test_exponential_life_has_a_closed_form(rate, exact, monthly, fine):
    """Without wear-out the cost of renewals is c times rate times time (discounted: c lambda (1 - e^(-delta H)) / delta); the grid comes close."""
    life = replace(QUIET, failure=weibull(1.0, 11.0))
    delta = np.log1p(rate)
    assert exact == pytest.approx(1000 / 11 * (5 if rate == 0 else (1 - np.exp(-5 * delta)) / delta), abs=1e-6)
    for per_month, value in ((1, monthly), (4, fine)):
        stay = Stay(day_cost=np.zeros(60 * per_month), step_years=1 / 12 / per_month, real_rate=rate)
        assert renewals(life, stay, Successor(fixed=1000, days=0), NOTHING)[0, -1] == pytest.approx(value, abs=1e-6)


def test_equilibrium_age_renews_at_a_constant_rate():
    """A unit of equilibrium age and all later ones together fail at exactly 1/mean (Cox 1962, Renewal Theory): 5 y of Weibull 1.8, 14 give
    0.401606, the monthly grid 0.401608. It checks the first life and the later ones at once."""
    mean = 14 * gamma(1 + 1 / 1.8)

    def equilibrium(ages):
        return -np.log(gammaincc(1 / 1.8, (np.asarray(ages) / 14) ** 1.8))[None, :]

    stay = Stay(day_cost=np.zeros(60))
    one = Successor(fixed=1, days=0)
    count = outlook(replace(QUIET, failure=equilibrium), stay, one, NOTHING, renewals(QUIET, stay, one, NOTHING))[0]
    assert 5 / mean == pytest.approx(0.401606, abs=5e-7)
    assert count == pytest.approx(0.401608, abs=5e-7)


def test_no_time_left_is_the_resale_effect_alone():
    """At the exit nothing can fail any more: the outlook is what the unit adds to the sale, a negative cost."""
    stay = Stay(day_cost=np.zeros(0))
    after = renewals(NEW, stay, NEW_UNIT, TERMS_NEW)
    assert after == pytest.approx(np.array([[-200.0]]))
    assert outlook(replace(NEW, age_years=6.0), stay, NEW_UNIT, TERMS_NEW, after) == pytest.approx([-80.0])


def test_without_outside_faults_only_failures_cost():
    """With no outside faults the expected number of exchanges times a constant price is the cost: plain renewal."""
    stay = Stay(day_cost=np.zeros(120))
    cost = renewals(QUIET, stay, Successor(fixed=700, days=0), NOTHING)[0, -1]
    assert cost == pytest.approx(700 * expected_renewals(QUIET, 120, 1 / 12)[0, -1])


def test_first_life_given_as_a_fresh_one_changes_nothing():
    """Limiting case: the first life being like all later ones gives the ordinary process."""
    assert expected_renewals(QUIET, 36, 1 / 12, first=QUIET) == pytest.approx(expected_renewals(QUIET, 36, 1 / 12))


@settings(max_examples=25, deadline=None)
@given(st.floats(.1, 10), st.floats(.5, 3), st.floats(2, 30), st.integers(1, 90))
def test_cost_is_linear_in_the_currency(rate, shape, scale, cells):
    """Stating every price in another currency multiplies the outlook by the rate: there is no hidden amount."""
    life, day = replace(NEW, failure=weibull(shape, scale)), np.linspace(10, 50, cells)
    one = renewals(life, Stay(day_cost=day, real_rate=.03), NEW_UNIT, TERMS_NEW)
    times = Successor(fixed=rate * NEW_UNIT.fixed, days=7)
    terms = Terms(remedy_fixed=rate * 160, remedy_days=1, warranty_credit=rate * 900, warranty_years=2, exit_gain=rate * 200)
    assert renewals(life, Stay(day_cost=rate * day, real_rate=.03), times, terms) == pytest.approx(rate * one, rel=1e-9, abs=1e-9)
