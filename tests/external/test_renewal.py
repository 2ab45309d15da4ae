"""The renewal engine against a published table and published limits."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import gamma

from fleetstats.decision.hazards import weibull
from fleetstats.decision.outlook import Life, expected_renewals


def fresh(shape: float, scale: float) -> Life:
    return Life(failure=weibull(shape, scale), outside=np.zeros(1), needless_share=np.zeros(1))


def of_unit_mean(c2: float) -> tuple[float, float]:
    """Weibull shape and scale with mean 1 and this squared coefficient of variation."""
    shape = brentq(lambda b: gamma(1 + 2 / b) / gamma(1 + 1 / b) ** 2 - 1 - c2, .4, 5, xtol=1e-13)
    return shape, 1 / gamma(1 + 1 / shape)


def test_table_of_the_weibull_renewal_function():
    """Tijms (2003) A First Course in Stochastic Models, table 8.1.1, p. 312: mean 1, squared coefficient of variation 0.25; printed to four
    digits (the book's own column is a discretisation), and the same values recomputed to 2e-5 with Xie's (1989) scheme."""
    shape, scale = of_unit_mean(.25)
    assert shape == pytest.approx(2.101349095, abs=1e-8)
    times = np.array([.1, .2, .4, .6, .8, 1, 1.2, 1.5, 2, 2.5])
    printed = np.array([.0061, .0261, .1087, .2422, .4141, .6091, .8143, 1.124, 1.627, 2.125])
    recomputed = [.00612258492, .0260875431, .1086554204, .2422403058, .4140494486, .6090917515, .8143365341, 1.123740153, 1.62667423, 2.124823195]
    found = expected_renewals(fresh(shape, scale), 1000, .0025)[0][np.round(times / .0025).astype(int)]
    assert found == pytest.approx(recomputed, abs=2e-5)
    assert (np.abs(found - printed) < np.where(times < 1.5, 6e-5, 6e-4)).all()


def test_table_for_lives_more_scattered_than_chance():
    """Tijms (2003), same table, squared coefficient of variation 2 (shape .720905): early failures, where a grid is at its worst."""
    times = np.array([.2, .5, 1, 1.5, 2, 2.5, 3, 3.5, 5, 7.5])
    printed = np.array([.3841, .7785, 1.357, 1.901, 2.428, 2.947, 3.460, 3.969, 5.485, 7.995])
    found = expected_renewals(fresh(*of_unit_mean(2.0)), 3000, .0025)[0][np.round(times / .0025).astype(int)]
    assert np.abs(found - printed).max() < 3e-3


def test_erlang_life_has_a_closed_form():
    """Erlang of two stages at rate 2: M(t) = t - 1/4 + e^(-4t)/4 (Cox 1962, Renewal Theory); M(2) = 1.750083866."""
    def erlang(ages):
        return (2 * np.asarray(ages) - np.log1p(2 * np.asarray(ages)))[None, :]

    life = Life(failure=erlang, outside=np.zeros(1), needless_share=np.zeros(1))
    assert expected_renewals(life, 800, .0025)[0, -1] == pytest.approx(1.750083866, abs=2e-5)


def test_long_run_limits():
    """Elementary renewal theorem and its constant (Barlow & Proschan 1965): M(t) - t/mean tends to (c2 - 1)/2; Weibull 1.8, 14 y at 200 y:
    15.729478 by the limit, 15.729485 on the monthly grid."""
    mean = 14 * gamma(1 + 1 / 1.8)
    c2 = gamma(1 + 2 / 1.8) / gamma(1 + 1 / 1.8) ** 2 - 1
    found = expected_renewals(fresh(1.8, 14.0), 2400, 1 / 12)[0, -1]
    assert 200 / mean + (c2 - 1) / 2 == pytest.approx(15.729478, abs=1e-6)
    assert found == pytest.approx(15.729485, abs=1e-6)


@pytest.mark.parametrize(("shape", "scale", "monthly", "series"), [(1.8, 14.0, .47256712, .47256230), (1.2, 11.0, .83068256, .83067593)])
def test_ten_years_against_the_power_series(shape, scale, monthly, series):
    """Renewals in 10 years: worked by two independent computations (this grid; the power series of Smith & Leadbetter 1963 in 120 digits)."""
    found = expected_renewals(fresh(shape, scale), 120, 1 / 12)[0, -1]
    assert found == pytest.approx(monthly, abs=1e-8)
    assert found == pytest.approx(series, abs=1e-5)
