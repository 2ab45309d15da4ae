"""The failure model as later rooms use it, and the bands made from it."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import t as student

from fleetstats.life.bands import Band, averaged_band, mix_of
from fleetstats.life.corrected import combine, rubin
from fleetstats.life.model import Covariates, FailureModel

POINT = np.array([np.log(12.0), -0.3, -0.1, -0.2, np.log(1.9), -0.15, np.log(0.12)])
SPREAD = np.diag([0.01, 0.02, 0.01, 0.01, 0.005, 0.02, 0.2])
MODEL = FailureModel(
    covariates=Covariates(sizes=("190",), reference_size="110", hot=True), parameters=tuple("abcdefg"), point=POINT, covariance=SPREAD,
    draw_points=POINT[None], draw_covariances=SPREAD[None], observed_years={"new": 10.0, "reconditioned": 6.0},
)
HOT = pd.array([True, False, pd.NA], dtype="boolean")
UNITS = pd.DataFrame({"origin": ["new", "reconditioned", "reconditioned"], "size_l": [110.0, 190.0, np.nan], "hot": HOT})


def test_cumulative_hazard_by_hand():
    """(t / scale)^shape, plus 0.12 a year for half a year for reconditioned units; a missing size counts as the reference, missing heat as none."""
    value = MODEL.cumulative_hazard(np.array([6.0, 0.3, 2.0]), UNITS)[0]
    k = 1.9 * np.exp(-0.15)
    by_hand = [(6 / (12 * np.exp(-0.2))) ** 1.9, (0.3 / (12 * np.exp(-0.4))) ** k + 0.036, (2 / (12 * np.exp(-0.3))) ** k + 0.06]
    assert value == pytest.approx(by_hand)


def test_drawn_parameters_have_the_models_mean_and_spread():
    """20,000 draws: mean and standard deviations of the fit."""
    theta = MODEL.sample(20_000, np.random.default_rng(2))
    assert theta.mean(axis=0) == pytest.approx(POINT, abs=0.02)
    assert theta.std(axis=0) == pytest.approx(np.sqrt(np.diag(SPREAD)), rel=0.03)


def two_draws():
    """The model from two draws of the causes that disagree in scale by more than either fit doubts."""
    points = np.stack([POINT, POINT]) + np.array([[-0.15], [0.15]]) * (np.arange(7) == 0)
    return replace(MODEL, draw_points=points, draw_covariances=np.stack([SPREAD, SPREAD]) / 25)


@pytest.mark.parametrize("origin", ["new", "reconditioned"])
def test_an_inverted_band_agrees_with_drawn_parameters(origin):
    """B10 and B50 of a mixture: ends of the inverted band within 5 % of the quantiles over 4,000 parameter draws; the point on the model's own curve."""
    units, shares = mix_of(UNITS, origin)
    band = averaged_band(MODEL, units, shares, 0.90)
    ages = np.geomspace(0.05, 60, 400)
    theta = MODEL.sample(4_000, np.random.default_rng(3))
    survival = sum(s * np.exp(-MODEL.cumulative_hazard(ages, units.iloc[[i] * len(ages)], theta)) for i, s in enumerate(shares))
    for share in (0.1, 0.5):
        drawn = np.array([np.interp(share, 1 - curve, ages) for curve in survival])
        point, lower, upper = band.quantile(share)
        assert (lower, upper) == pytest.approx(tuple(np.quantile(drawn, [0.05, 0.95])), rel=0.05)
        at_point = sum(s * np.exp(-MODEL.cumulative_hazard(np.array([point]), units.iloc[[i]])[0, 0]) for i, s in enumerate(shares))
        assert at_point == pytest.approx(1 - share, abs=1e-3)


def test_disagreement_between_draws_widens_the_band_as_rubin_says():
    """One unit, log hazard at 5 years: error squared = mean of the fits' + (1 + 1/2) x variance between the two, t with 3 degrees or more."""
    unit, ages = UNITS.iloc[:1], np.array([5.0])
    band = averaged_band(two_draws(), unit, np.ones(1), 0.90, ages)
    k, z = 1.9, np.log(5.0) - np.log(12.0) + 0.2
    within = (k**2 * (0.01 + 0.01) + (k * z) ** 2 * 0.005) / 25
    between = 1.5 * 2 * (k * 0.15) ** 2
    width = np.sqrt(within + between) * student.ppf(0.95, max(3.0, (1 + within / between) ** 2))
    assert (band.upper[0] - band.lower[0]) / 2 == pytest.approx(width, rel=0.05)


def test_a_line_that_never_gets_there_has_no_age():
    """A flat curve: no quantile, and the limits likewise."""
    flat = np.full(5, np.log(0.05))
    assert Band(ages=np.arange(1.0, 6.0), point=flat, lower=flat - 1, upper=flat + 1).quantile(0.5) == (None, None, None)


def test_rubins_rules_worked_by_hand():
    """Points 1, 2, 3 with variance 0.5 each: mean 2, total 0.5 + (1 + 1/3) 1 = 1.8333, degrees 2 (1 + 0.5/1.3333)^2 = 3.7813."""
    values, variances = np.array([[1.0], [2.0], [3.0]]), np.full((3, 1), 0.5)
    point, error, degrees = rubin(values, variances)
    assert (point[0], error[0] ** 2, degrees[0]) == pytest.approx((2.0, 1.8333333, 3.78125), rel=1e-6)
    mean, covariance = combine(values, variances[:, :, None])
    assert (mean[0], covariance[0, 0]) == pytest.approx((2.0, 1.8333333), rel=1e-6)
