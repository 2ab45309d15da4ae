"""Bands for the averaged curve of a population, and quantiles by inverting them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.life.corrected import half_width, rubin
from fleetstats.life.model import EARLY_YEARS, FailureModel

AGES = np.concatenate([[0.02], np.geomspace(0.05, 80.0, 240)])
"""Ages in years at which bands are computed."""


@dataclass(frozen=True, kw_only=True)
class Band:
    """log of the cumulative hazard of the averaged survival curve at `ages` (m,): point, lower, upper."""

    ages: np.ndarray
    point: np.ndarray
    lower: np.ndarray
    upper: np.ndarray

    def survival(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Survival: point, lower, upper."""
        return np.exp(-np.exp(self.point)), np.exp(-np.exp(self.upper)), np.exp(-np.exp(self.lower))

    def quantile(self, share_failed: float) -> tuple[float | None, float | None, float | None]:
        """Age at which `share_failed` have failed: point, lower, upper; None where a line does not get there by age 80."""
        wanted = float(np.log(-np.log1p(-share_failed)))
        return _crossing(self.ages, self.point, wanted), _crossing(self.ages, self.upper, wanted), _crossing(self.ages, self.lower, wanted)


def mix_of(units: pd.DataFrame, origin: str) -> tuple[pd.DataFrame, np.ndarray]:
    """Distinct size_l and hot of `units` (with `origin` set for all) and their shares, summing to 1."""
    plain = pd.DataFrame({"size_l": units["size_l"].astype("float64").fillna(-1.0), "hot": units["hot"].fillna(False).astype(bool)})
    counts = plain.value_counts(sort=False).reset_index(name="n")
    rows = pd.DataFrame({"origin": origin, "size_l": counts["size_l"].where(counts["size_l"] >= 0), "hot": counts["hot"]})
    return rows, (counts["n"] / counts["n"].sum()).to_numpy(float)


def averaged_band(model: FailureModel, units: pd.DataFrame, shares: np.ndarray, level: float, ages: np.ndarray = AGES) -> Band:
    """Band of the survival curve averaged over `units` (rows with origin, size_l, hot) with these shares (summing to 1).

    Per draw of the causes the log cumulative hazard and its error by the delta method; combined over draws with t degrees of freedom.
    """
    m = len(model.draw_points)
    values, variances = np.empty((m, len(ages))), np.empty((m, len(ages)))
    x = model.covariates.matrix(units)
    for i, (theta, covariance) in enumerate(zip(model.draw_points, model.draw_covariances, strict=True)):
        value, slope = _log_hazard(theta, x, shares, ages)
        values[i], variances[i] = value, np.einsum("aj,jk,ak->a", slope, covariance, slope)
    point, error, degrees = rubin(values, variances)
    width = half_width(error, degrees, level)
    return Band(ages=ages, point=point, lower=point - width, upper=point + width)


def _log_hazard(theta: np.ndarray, x: np.ndarray, shares: np.ndarray, ages: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """log(-log mean survival) at each age, (a,), and its gradient in the parameters, (a, p + 3)."""
    p, r = x.shape[1], x[:, 1]
    shape = np.exp(theta[p] + theta[p + 1] * r)
    g = np.minimum(shape * (np.log(ages)[:, None] - x @ theta[:p]), 300.0)
    early = np.exp(theta[p + 2]) * r * np.minimum(ages, EARLY_YEARS)[:, None]
    mass = np.exp(g)
    hazard = mass + early
    floor = hazard.min(axis=1, keepdims=True)
    weight = shares * np.exp(-(hazard - floor))
    total = weight.sum(axis=1)
    overall = floor[:, 0] - np.log(total)
    weight = weight / total[:, None]
    slope = np.concatenate([-((weight * mass * shape) @ x), _column(weight * mass * g), _column(weight * mass * g * r), _column(weight * early)], axis=1)
    return np.log(overall), slope / overall[:, None]


def _column(rows: np.ndarray) -> np.ndarray:
    return np.asarray(rows.sum(axis=1, keepdims=True))


def _crossing(ages: np.ndarray, line: np.ndarray, wanted: float) -> float | None:
    """Age at which a line first reaches `wanted`, straight in log age; the first age where it starts above."""
    rising = np.maximum.accumulate(line)
    if rising[-1] < wanted:
        return None
    return float(np.exp(np.interp(wanted, rising, np.log(ages))))
