"""Counted curves against printed values."""

import numpy as np
import pytest

from fleetstats.errors import InputRefused
from fleetstats.life.nonparametric import count_lives, limits, start_age
from tests.external.channing import DEATH, ENTRY, EXIT

REMISSION = np.array([6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35], float)
RELAPSE = np.array([1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0], bool)


def test_kaplan_meier_and_greenwood_of_the_remission_times():
    """Survival and Greenwood's error with ties and censoring at ages of failure: Freireich et al. (1963), Blood 21:699-716, 6-MP group.

    Printed to three digits in Klein & Moeschberger (2003), sections 4.2 to 4.5 (from memory); ten digits recomputed with R survival 3.5-3.
    """
    counted = count_lives(np.zeros(21), REMISSION, RELAPSE)
    assert counted.ages.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert counted.survival == pytest.approx([0.8571428571, 0.8067226891, 0.7529411765, 0.6901960784, 0.6274509804, 0.5378151261, 0.4481792717], rel=1e-4)
    errors = [0.07636035483, 0.08693528518, 0.09634965299, 0.1068147078, 0.1140538653, 0.1282337517, 0.1345914568]
    assert np.sqrt(counted.variance) == pytest.approx(errors, rel=1e-4)


@pytest.mark.parametrize(("transformation", "low", "high"), [
    ("plain", 0.5640993267, 0.9417830263), ("log", 0.585918982, 0.9675747546), ("log-log", 0.5031995108, 0.8893618352),
])
def test_limits_name_their_transformation(transformation, low, high):
    """95 % limits at t = 10 of the same data differ by transformation; recomputed with R survival 3.5-3 (conf.type plain, log, log-log)."""
    counted = count_lives(np.zeros(21), REMISSION, RELAPSE)
    at_ten = counted.ages == 10
    lower, upper = limits(counted.survival[at_ten], counted.variance[at_ten], 0.95, transformation)
    assert (lower[0], upper[0]) == pytest.approx((low, high), rel=1e-4)


def test_an_unknown_transformation_is_refused():
    """A limit without a named scale is never returned."""
    with pytest.raises(InputRefused, match="log-log"):
        limits(np.array([0.5]), np.array([0.01]), 0.9, "logit")


def test_late_entry_can_empty_the_early_risk_set():
    """Channing House men: one death of two at risk at 777 months, one of one at 781, so the unconditional curve is zero from there.

    Klein & Moeschberger (2003), example 4.3 (discussion from memory); values recomputed with R survival 3.5-3.
    """
    counted = count_lives(ENTRY, EXIT, DEATH)
    assert counted.ages[:2].tolist() == [777, 781]
    assert counted.survival[:2].tolist() == [0.5, 0.0]
    assert counted.at_risk[counted.ages == 869].tolist() == [24]
    assert start_age(ENTRY, EXIT) > 781, "the collapse must be noticed"


def test_survival_given_that_an_age_was_reached():
    """Channing House men, conditional on 68 years (816 months), at 75, 80, 85 and 90 years; recomputed with R survival 3.5-3 (start.time)."""
    counted = count_lives(ENTRY, EXIT, DEATH, start_age=816)
    last = [np.flatnonzero(counted.ages <= 12 * age)[-1] for age in (75, 80, 85, 90)]
    assert counted.survival[last] == pytest.approx([0.8045311295, 0.6377614033, 0.4543733458, 0.2227073135], rel=1e-4)
    assert np.sqrt(counted.variance[last[1]]) == pytest.approx(0.07759796786, rel=1e-4)
