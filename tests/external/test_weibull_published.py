"""Weibull estimates against printed values, and against lifelines."""

import numpy as np
import pytest

from fleetstats.life.parametric import likelihood_ratio_limits, recorded_weibull, weibull_mle
from tests.external.channing import DEATH, ENTRY, EXIT

CAGE_HOURS = np.array([50, 150, 230, 250, 334, 350, 423, 450, 550, 650, 750, 850, 950, 990, 1009, 1050, 1150, 1250, 1350, 1450, 1510, 1550, 1650, 1850,
                       2050], float)
CAGE_FAILED = np.isin(CAGE_HOURS, [230, 334, 423, 990, 1009, 1510])
CAGE_COUNT = np.array([288, 148, 1, 124, 1, 111, 1, 106, 99, 110, 114, 119, 127, 1, 1, 123, 93, 47, 41, 27, 1, 11, 6, 1, 2], float)
BEARINGS = np.array([17.88, 28.92, 33.0, 41.52, 42.12, 45.6, 48.4, 51.84, 51.96, 54.12, 55.56, 67.8, 68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84,
                     127.92, 128.04, 173.4])
HANDBOOK = np.array([54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + 10 * [500], float)


def test_bearing_cages_six_failures_among_1703():
    """Heavy censoring: Abernethy et al. (1983); Meeker & Escobar (1998), table C.5 and example 8.16.

    Printed shape 2.035, B10 3903 h, 95 % likelihood-ratio limits (2093, 22144), log-likelihood -76.4369; more digits recomputed with R.
    """
    fit = weibull_mle(CAGE_HOURS, CAGE_FAILED, count=CAGE_COUNT)
    assert (fit.shape, fit.scale, fit.log_likelihood) == pytest.approx((2.03531868, 11792.17914, -76.43689636), rel=1e-3)
    assert fit.quantile(0.1) == pytest.approx(3903.12714, rel=1e-3)
    ends = likelihood_ratio_limits(0.1, 0.95, CAGE_HOURS, CAGE_FAILED, count=CAGE_COUNT)
    assert ends == pytest.approx((2094.280783, 22144.42676), rel=1e-3)
    slope = np.array([-np.log(-np.log(0.9)) / fit.shape, 1.0])
    width = 1.959964 * np.sqrt(slope @ fit.log_covariance @ slope)
    assert fit.quantile(0.1) * np.exp([-width, width]) == pytest.approx([1488.552791, 10234.37097], rel=1e-3)


def test_complete_sample_of_ball_bearings():
    """Lieblein & Zelen (1956), J. Res. Nat. Bur. Standards 57:273; Lawless (2003) prints 81.88 and 2.10 (from memory); digits recomputed with R."""
    fit = weibull_mle(BEARINGS, np.ones(23, bool))
    assert (fit.scale, fit.shape, fit.log_likelihood) == pytest.approx((81.87455872, 2.101846864, -113.6919591), rel=2e-4)


def test_handbook_example_with_both_of_its_first_ages():
    """NIST/SEMATECH e-Handbook, 8.4.1.2: the page uses 54 (606.528, 1.7208), its own R code 55 (606.005, 1.72563, -75.122)."""
    failed = HANDBOOK < 500
    page = weibull_mle(HANDBOOK, failed)
    assert (page.scale, page.shape, page.log_likelihood) == pytest.approx((606.527558, 1.720797261, -75.13461816), rel=1e-5)
    code = weibull_mle(np.where(HANDBOOK == 54, 55, HANDBOOK), failed)
    assert (code.scale, code.shape, code.log_likelihood) == pytest.approx((606.004798, 1.725625753, -75.12184563), rel=1e-5)


def test_left_truncation_against_ignoring_it():
    """Channing House men in years: shape 6.28 with entry ages, 14.2 without; recomputed with R optim, no printed value known."""
    fit = weibull_mle(EXIT / 12, DEATH, entry=ENTRY / 12)
    assert (fit.shape, fit.scale, -fit.log_likelihood) == pytest.approx((6.280209136, 80.73690009, 160.4451915), rel=1e-3)
    naive = weibull_mle(EXIT / 12, DEATH)
    assert (naive.shape, naive.scale) == pytest.approx((14.21808847, 89.79244994), rel=1e-3)


def test_lifelines_and_our_kernel_agree():
    """Two programs, one likelihood: estimates, log-likelihood and errors of the truncated data."""
    ours = weibull_mle(EXIT / 12, DEATH, entry=ENTRY / 12)
    theirs = recorded_weibull(ENTRY / 12, EXIT / 12, DEATH)
    assert (theirs.shape, theirs.scale, theirs.log_likelihood) == pytest.approx((ours.shape, ours.scale, ours.log_likelihood), rel=1e-4)
    assert theirs.log_covariance == pytest.approx(ours.log_covariance, rel=1e-2)
