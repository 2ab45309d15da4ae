"""Removals known by chance, after the records of a vehicle's shops end, are no events of a life."""

import numpy as np
import pandas as pd
import pytest

from fleetstats import tables
from fleetstats.life.parametric import recorded_rows, weibull_mle
from fleetstats.life.watch import under_watch


def _tenures(ended: np.ndarray, ending: list[str], watched: np.ndarray | float) -> pd.DataFrame:
    n = len(ended)
    return tables.TENURES.check(pd.DataFrame({
        "tenure_id": [f"t{i}" for i in range(n)], "vehicle_id": [f"v{i}" for i in range(n)], "origin": "new", "installed": pd.Timestamp("2015-01-01"),
        "ended": pd.Timestamp("2020-01-01"), "unit_age_at_installed_years": 0.0, "entered_years": 0.0, "ended_years": ended, "last_good_years": ended,
        "watched_to_years": watched, "ending": ending,
    }))


def test_a_removal_after_the_watch_is_censored_at_its_end():
    """Watched to 4 years: removed at 3 is an event at 3, removed at 6 is right-censored at 4, an unknown end of the watch changes nothing."""
    seen = under_watch(_tenures(np.array([3.0, 6.0, 6.0]), ["condemned"] * 3, np.array([4.0, 4.0, np.nan])))
    assert seen["ended_years"].tolist() == [3.0, 4.0, 6.0]
    assert seen["condemned"].tolist() == [True, False, True]


def test_late_removals_do_not_shorten_lives():
    """20,000 Weibull lives (shape 1.8, scale 12), half of them watched for 5 years only but every removal known up to 9: shape and scale come back."""
    rng = np.random.default_rng(7)
    life = 12 * rng.weibull(1.8, 20_000)
    watched = np.where(rng.random(20_000) < 0.5, 5.0, 9.0)
    condemned = life < 9
    ended = np.where(condemned, life, np.minimum(9.0, watched))
    entry, exit, failed = recorded_rows(_tenures(ended, np.where(condemned, "condemned", "in service").tolist(), watched))
    fit = weibull_mle(exit, failed, entry=entry)
    assert (fit.shape, fit.scale) == (pytest.approx(1.8, rel=0.03), pytest.approx(12, rel=0.03))
