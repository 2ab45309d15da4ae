"""Bench accuracy: bounds, corrections, draws."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from fleetstats.diagnosis.accuracy import bench_bounds, draw_accuracy, mean_accuracy, share_bounds, share_by_bench, verdicts
from fleetstats.settings import Bench, Settings

SETTINGS = Settings(as_of=dt.date(2025, 12, 31), bench={"sure": Bench(faulty_called_faulty=45, faulty_called_healthy=5, healthy_called_healthy=19)})


def test_bounds_worked_by_hand():
    """N = 40 condemned, n = 30 tested, x = 9 without fault, Se .97, Sp .98: k = (9 - .9)/.95 = 8.5263, share between k/40 and (k + 10)/40."""
    bounds = share_bounds(40, np.array([30.0]), np.array([9.0]), np.array([0.97]), np.array([0.98]))
    assert (bounds.lower, bounds.upper) == pytest.approx((0.2132, 0.4632), abs=5e-5)


def test_without_verdicts_everything_is_possible():
    """No test: the share lies between 0 and 1."""
    nothing = pd.Series([pd.NA] * 5, dtype="string")
    bounds = bench_bounds(nothing, nothing, SETTINGS)
    assert (bounds.lower, bounds.upper) == (0.0, 1.0)


def test_restarted_is_a_healthy_verdict_and_inconclusive_is_none():
    """A unit restarted by handling did not need replacing; an inconclusive run says nothing."""
    tested, no_fault = verdicts(pd.Series(["fault confirmed", "no fault found", "restarted", "inconclusive", pd.NA], dtype="string"))
    assert tested.tolist() == [True, True, True, False, False]
    assert no_fault.tolist() == [False, True, True, False, False]


def test_priors_come_from_double_tests_or_are_wide():
    """Counts 45:5 give Beta(45.5, 5.5), mean .8922; a bench without double tests Beta(18, 1), mean .9474; draws stay at or above 0.6."""
    se, sp = mean_accuracy(["sure", "other"], SETTINGS)
    assert se == pytest.approx([45.5 / 51, 18 / 19])
    assert sp == pytest.approx([19.5 / 20, 18 / 19])
    drawn, _ = draw_accuracy(["sure", "other"], SETTINGS, 20_000, np.random.default_rng(1))
    assert drawn.mean(axis=0) == pytest.approx([45.5 / 51, 18 / 19], abs=0.003)
    assert drawn.min() >= 0.6


def test_share_by_own_verdicts_takes_the_wider_ends():
    """9 of 30: Wilson limits written out, each corrected with the bench at .90, (p - .1)/.8, and at .99, (p - .01)/.98; lowest and highest."""
    share = share_by_bench(9, 30, 0.90)
    z2, n, p = 1.6448536**2, 30, 0.3
    centre, half = (p + z2 / 2 / n) / (1 + z2 / n), np.sqrt(z2 * p * (1 - p) / n + z2**2 / 4 / n**2) / (1 + z2 / n)
    low, high = centre - half, centre + half
    assert share.lower == pytest.approx(min((low - 0.1) / 0.8, (low - 0.01) / 0.98), abs=1e-6)
    assert share.upper == pytest.approx(max((high - 0.1) / 0.8, (high - 0.01) / 0.98), abs=1e-6)
