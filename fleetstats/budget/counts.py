"""Expected failures and needless removals per month: the units in service, and the units that will be fitted in their place."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from fleetstats.life import FailureModel
from fleetstats.results import Estimate

Floats = npt.NDArray[np.float64]
STEP = 1 / 12


@dataclass(frozen=True, kw_only=True)
class Expected:
    """(n, months) expected true failures and needless removals; row 0 the estimate, the others draws of the parameters."""

    failures: Floats = field(repr=False)
    needless: Floats = field(repr=False)

    def plus(self, other: Expected) -> Expected:
        """Both together."""
        return Expected(failures=self.failures + other.failures, needless=self.needless + other.needless)


def first_ends(model: FailureModel, parameters: Floats, units: pd.DataFrame, there: Floats, needless: Floats, season: Floats) -> Expected:
    """Ends of the units in service, of one size. there: (u, months) share of each month; needless: (n,) per year; season: (n, months)."""
    months = there.shape[1]
    ages = units["age_years"].to_numpy(float)
    edges = [model.cumulative_hazard(ages + STEP * month, units, parameters) for month in range(months + 1)]
    survival, failures, removed = np.ones_like(edges[0]), [], []
    for month in range(months):
        weight = there[:, month] * season[:, month, None]
        failing = (edges[month + 1] - edges[month]) * weight
        taken = needless[:, None] * STEP * weight
        per_hazard = survival * shrink(failing + taken)
        failures.append((per_hazard * failing).sum(axis=1))
        removed.append((per_hazard * taken).sum(axis=1))
        survival = survival * np.exp(-failing - taken)
    return Expected(failures=np.stack(failures, axis=1), needless=np.stack(removed, axis=1))


def shrink(hazard: Floats) -> Floats:
    """(1 - e^-h) / h, 1 at 0: the chance of an end per unit of hazard in a month."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(hazard > 1e-12, -np.expm1(-hazard) / hazard, 1.0))


def second_ends(model: FailureModel, parameters: Floats, fitted: pd.DataFrame, first: Expected, stays: Floats, needless: Floats, season: Floats) -> Expected:
    """Ends, within the same months, of units fitted in the middle of the month in which the first ones ended; third units are left out.

    fitted: one row, the kind of unit put in. stays: (months,) mean share of vehicles still there.
    """
    months = first.failures.shape[1]
    edges = STEP * np.concatenate([[0.0], np.arange(months) + 0.5])
    row = pd.concat([fitted] * len(edges), ignore_index=True)
    increments = np.diff(model.cumulative_hazard(edges, row, parameters), axis=1)
    lengths = np.diff(edges)
    ended = first.failures + first.needless
    failures, removed = np.zeros_like(ended), np.zeros_like(ended)
    left = [[min(stays[later] / max(stays[later - gap], 1e-12), 1.0) for gap in range(later + 1)] for later in range(months)]
    for later in range(months):
        for gap in range(later + 1):
            weight = season[:, later] * left[later][gap] * ended[:, later - gap]
            failures[:, later] += weight * increments[:, gap]
            removed[:, later] += weight * needless * lengths[gap]
    return Expected(failures=failures, needless=removed)


def quarters(monthly: Floats) -> Floats:
    """(n, 4) sums of three months of (n, 12)."""
    return np.asarray(monthly.reshape(len(monthly), 4, 3).sum(axis=2))


def quarter_lines(mean: Floats, drawn: Floats, level: float, method: str, unit: str) -> tuple[Estimate, ...]:
    """Four quarters and the year. mean: (n, 4) expected, row 0 the estimate; drawn: (n - 1, 4) outcomes, whose quantiles are the interval."""
    point, outcomes = np.append(mean[0], mean[0].sum()), np.column_stack([drawn, drawn.sum(axis=1)])
    lower, upper = np.quantile(outcomes, [(1 - level) / 2, (1 + level) / 2], axis=0)
    return tuple(
        Estimate(estimate=float(p), lower=float(low), upper=float(high), level=level, method=method, unit=unit)
        for p, low, high in zip(point, lower, upper, strict=True)
    )
