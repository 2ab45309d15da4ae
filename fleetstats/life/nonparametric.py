"""Kaplan-Meier and Nelson-Aalen with delayed entry, their limits, and quantiles that say where they end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

from fleetstats.errors import BeyondData, InputRefused, Problem
from fleetstats.results import Estimate

TRANSFORMATIONS = ("plain", "log", "log-log")
FEWEST_AT_RISK = 10
"""Nothing is shown where fewer units are under observation."""


@dataclass(frozen=True, kw_only=True)
class Counted:
    """What is counted at each age with a failure, all (m,): ages, failures, at_risk (entry < age <= exit), survival (Kaplan-Meier),

    variance (Greenwood, of survival), hazard (Nelson-Aalen, cumulative), hazard_variance (Aalen's). Conditional on reaching start_age.
    """

    ages: np.ndarray
    failures: np.ndarray
    at_risk: np.ndarray
    survival: np.ndarray
    variance: np.ndarray
    hazard: np.ndarray
    hazard_variance: np.ndarray
    start_age: float = 0.0


def count_lives(entry: np.ndarray, exit: np.ndarray, failed: np.ndarray, start_age: float = 0.0) -> Counted:
    """Kaplan-Meier and Nelson-Aalen of left-truncated, right-censored ages; unit-free.

    entry, exit: (n,) ages, entry < exit. failed: (n,) True where exit is a failure. A censoring tied with a failure is still at risk there.
    start_age: survival is conditional on reaching it; rows that end at or before it are left out.
    Raises InputRefused when an entry is not below its exit. Klein & Moeschberger (2003), sections 4.2 and 4.6 (from memory).
    """
    if (entry >= exit).any():
        remedy = "Leave out units that ended before they came under observation."
        raise InputRefused(Problem(what="an age of entry is not below the age of exit", remedy=remedy))
    kept = exit > start_age
    entry, exit, failed = np.maximum(entry[kept], start_age), exit[kept], failed[kept]
    ages, deaths = np.unique(exit[failed], return_counts=True)
    at_risk = np.searchsorted(np.sort(entry), ages, side="left") - np.searchsorted(np.sort(exit), ages, side="left")
    with np.errstate(divide="ignore", invalid="ignore"):
        survival = np.cumprod(1 - deaths / at_risk)
        variance = survival**2 * np.cumsum(deaths / (at_risk * (at_risk - deaths)))
    return Counted(
        ages=ages, failures=deaths, at_risk=at_risk, survival=survival, variance=np.where(survival > 0, variance, 0.0),
        hazard=np.cumsum(deaths / at_risk), hazard_variance=np.cumsum(deaths / at_risk**2), start_age=start_age,
    )


def start_age(entry: np.ndarray, exit: np.ndarray, fewest: int = FEWEST_AT_RISK) -> float:
    """The age from which on at least `fewest` units stay at risk until a tenth of all have left; 0 where that holds from the start.

    Under late entry the first risk sets can be so small that one failure takes the curve to zero. entry, exit: (n,) ages.
    """
    ages = np.unique(np.concatenate([entry, exit]))
    at_risk = np.searchsorted(np.sort(entry), ages, side="right") - np.searchsorted(np.sort(exit), ages, side="right")
    early = ages <= np.quantile(exit, 0.1)
    thin = early & (at_risk < fewest)
    if not thin.any():
        return 0.0
    after = ages[(ages > ages[thin].max()) & (at_risk >= fewest)]
    return float(after[0]) if len(after) else 0.0


def observed_until(entry: np.ndarray, exit: np.ndarray, fewest: int = FEWEST_AT_RISK) -> float:
    """The largest age at which `fewest` units were at risk; 0 when there never were so many. entry, exit: (n,) ages."""
    ages = np.unique(exit)
    at_risk = np.searchsorted(np.sort(entry), ages, side="left") - np.searchsorted(np.sort(exit), ages, side="left")
    enough = ages[at_risk >= fewest]
    return float(enough[-1]) if len(enough) else 0.0


def limits(survival: np.ndarray, variance: np.ndarray, level: float, transformation: str) -> tuple[np.ndarray, np.ndarray]:
    """Pointwise limits of survival, (m,) each, cut to [0, 1].

    transformation: 'plain', 'log' or 'log-log' (of the survival): the scale on which the interval is symmetric; programs differ in it.
    """
    if transformation not in TRANSFORMATIONS:
        raise InputRefused(Problem(what="unknown transformation", found=transformation, remedy=f"Choose one of {', '.join(TRANSFORMATIONS)}."))
    z = norm.ppf((1 + level) / 2)
    inside = (survival > 0) & (survival < 1)
    s = np.where(inside, survival, 0.5)
    error = np.sqrt(np.where(inside, variance, 0.0))
    if transformation == "plain":
        low, high = s - z * error, s + z * error
    elif transformation == "log":
        low, high = s * np.exp(-z * error / s), s * np.exp(z * error / s)
    else:
        theta = z * error / (s * np.abs(np.log(s)))
        low, high = s ** np.exp(theta), s ** np.exp(-theta)
    return np.where(inside, np.clip(low, 0, 1), survival), np.where(inside, np.clip(high, 0, 1), survival)


def quantile(counted: Counted, share_failed: float, level: float = 0.90, transformation: str = "log-log") -> Estimate:
    """Age at which `share_failed` (0..1) have failed, given that start_age was reached; limits by inverting the band (Brookmeyer-Crowley).

    estimate, lower, upper are None where the curve or the limit does not get there. Raises BeyondData when no failure was seen.
    """
    if not len(counted.ages):
        raise BeyondData(Problem(what="no failure was observed", remedy="Ask for survival at an age under observation instead."))
    wanted = 1 - share_failed
    low, high = limits(counted.survival, counted.variance, level, transformation)
    point, lower, upper = (_first_age(counted.ages, curve, wanted) for curve in (counted.survival, low, high))
    reached = "" if point is not None else f"; not reached by age {counted.ages[-1]:.4g}"
    return Estimate(estimate=point, lower=lower, upper=upper, level=level, method=f"Kaplan-Meier, band '{transformation}' inverted{reached}", unit="years")


def _first_age(ages: np.ndarray, curve: np.ndarray, wanted: float) -> float | None:
    below = np.flatnonzero(curve <= wanted + 1e-12)
    return float(ages[below[0]]) if len(below) else None
