"""Options against two states of the unit: expected cost, share of draws won, regret, worth of knowing, and where the choice changes.

Costs of an option are two numbers, given a true failure and given a sound unit; between them its expected cost is a straight line in the
probability. The best option at each probability is the lower envelope of these lines, and its corners are the thresholds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from fleetstats.decision.answer import Threshold

Floats = npt.NDArray[np.float64]
NEAR = 0.05
"""A second best within this share of its cost is called no clear difference."""


def expected(if_failed: Floats, if_healthy: Floats, probability: npt.ArrayLike) -> Floats:
    """(n, o) expected cost of each option in each draw. if_failed, if_healthy: (n, o); probability: (n,) of a true failure."""
    p = np.asarray(probability, float)[..., None]
    return np.asarray(p * if_failed + (1 - p) * if_healthy)


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Of (n, o) expected costs: p_best (o,) share of draws in which each costs least, regret (o,) mean excess over the least,
    regret_error (o,) its Monte Carlo standard error."""

    p_best: Floats = field(repr=False)
    regret: Floats = field(repr=False)
    regret_error: Floats = field(repr=False)


def compare(costs: Floats) -> Comparison:
    """How the options stand over the draws of the parameters; costs (n, o)."""
    excess = costs - costs.min(axis=1, keepdims=True)
    won = np.bincount(costs.argmin(axis=1), minlength=costs.shape[1]) / len(costs)
    return Comparison(p_best=won, regret=excess.mean(axis=0), regret_error=excess.std(axis=0) / np.sqrt(len(costs)))


def worth_of_knowing(if_failed: Floats, if_healthy: Floats, probability: float) -> float:
    """Expected saving from knowing the state for certain before choosing, never below 0. if_failed, if_healthy: (o,)."""
    chosen = (probability * if_failed + (1 - probability) * if_healthy).min()
    return max(float(chosen - probability * if_failed.min() - (1 - probability) * if_healthy.min()), 0.0)


def worth_of_check(costs: Floats, weights: Floats, bad: Floats) -> float:
    """Expected saving from one more check before choosing, its own cost apart; 0 when neither result changes the choice.

    costs: (o, s) of each option in each state or mode. weights: (s,) probability of each now. bad: (s,) P(check bad | state).
    """
    now = (costs @ weights).min()
    then = sum(float((costs @ (weights * likelihood)).min()) for likelihood in (bad, 1 - bad))
    return max(float(now) - then, 0.0)


def thresholds(options: Sequence[str], if_failed: Floats, if_healthy: Floats) -> tuple[Threshold, ...]:
    """Where in the probability of a true failure the cheapest option changes, from 0 to 1. if_failed, if_healthy: (o,)."""
    at, current = 0.0, int(np.lexsort((if_failed, if_healthy))[0])
    found: list[Threshold] = []
    while True:
        slope = if_failed - if_healthy
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            crossing = (if_healthy - if_healthy[current]) / (slope[current] - slope)
        crossing[~((slope < slope[current]) & (crossing >= at) & (crossing < 1))] = np.inf
        if not np.isfinite(crossing.min()):
            return tuple(found)
        # of several that cross here the one that falls fastest is the cheapest beyond
        tied = np.flatnonzero(crossing <= crossing.min() + 1e-12)
        after = int(tied[np.argmin(slope[tied])])
        at = float(crossing[after])
        found.append(Threshold(quantity="probability of a true failure", value=at, below=options[current], above=options[after]))
        current = after


def is_clear(estimates: Floats, comparison: Comparison, best: int, others: Sequence[int]) -> bool:
    """Whether the best option's lead over the next of `others` exceeds both the draws' error and 5 % of that one's cost."""
    if not len(others):
        return True
    second = min(others, key=lambda index: float(estimates[index]))
    lead = float(comparison.regret[second])
    return lead > max(2 * float(comparison.regret_error[second]), NEAR * abs(float(estimates[second])))
