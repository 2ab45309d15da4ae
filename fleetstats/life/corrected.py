"""The corrected life over all draws of the causes: one fit per draw, combined by Rubin's rules."""

from __future__ import annotations

import numpy as np
from scipy.stats import t as student

from fleetstats.diagnosis import CauseDraws
from fleetstats.life.model import FailureModel
from fleetstats.life.nonparametric import observed_until
from fleetstats.life.regression import LifeFit, LifeRows, fit_life, life_data, penalty

N_FITS = 20
"""Draws of the causes that are fitted."""

FEWEST_FAILURES = 10


def failed_draws(rows: LifeRows, causes: CauseDraws, n_fits: int = N_FITS) -> np.ndarray:
    """(m, n) True where a row's unit truly failed, in the first `n_fits` draws; m = 0 when the causes are not anchored."""
    position = {name: i for i, name in enumerate(causes.tenure_ids)}
    failed = np.zeros((min(n_fits, causes.n_draws), len(rows.entry)), bool)
    columns = [position[name] for name in rows.tenure_ids[rows.condemned]]
    failed[:, rows.condemned] = ~causes.needless[: len(failed), columns]
    return failed


def expected_failures(rows: LifeRows, failed: np.ndarray) -> dict[str, float]:
    """Mean over the draws of true failures by origin. failed: (m, n)."""
    by_row = failed.mean(axis=0)
    reconditioned = rows.reconditioned > 0
    return {"new": float(by_row[~reconditioned].sum()), "reconditioned": float(by_row[reconditioned].sum())}


def fit_draws(rows: LifeRows, failed: np.ndarray) -> FailureModel:
    """The failure model from the causes of each draw, (m, n); the next fit starts where the last one ended.

    An origin with fewer than 10 expected failures shares the shape of the other one.
    """
    few = min(expected_failures(rows, failed).values()) < FEWEST_FAILURES
    prior = penalty(rows.matrix.shape[1], pooled_shape=few)
    fits: list[LifeFit] = []
    for causes in failed:
        fits.append(fit_life(life_data(rows, causes), prior, fits[-1].point if fits else None))
    draws, covariances = np.array([fit.point for fit in fits]), np.array([fit.covariance for fit in fits])
    point, covariance = combine(draws, covariances)
    reconditioned = rows.reconditioned > 0
    return FailureModel(
        covariates=rows.covariates, parameters=(*rows.covariates.names, "log shape", "log shape, reconditioned", "log early hazard, reconditioned"),
        point=point, covariance=covariance, draw_points=draws, draw_covariances=covariances,
        observed_years={"new": _observed(rows, ~reconditioned), "reconditioned": _observed(rows, reconditioned)},
    )


def combine(points: np.ndarray, covariances: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rubin's rules (1987, from memory) for all parameters together: mean (p,), within + (1 + 1/m) between covariance (p, p).

    points: (m, p). covariances: (m, p, p). One draw has no between part.
    """
    m = len(points)
    within = covariances.mean(axis=0)
    between = (1 + 1 / m) * np.cov(points, rowvar=False).reshape(within.shape) if m > 1 else np.zeros_like(within)
    return points.mean(axis=0), within + between


def rubin(values: np.ndarray, variances: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The same for single quantities: mean, standard error, and degrees of freedom (m - 1)(1 + within / between)^2, (k,) each.

    values, variances: (m, k), one row per draw of the causes. Degrees are kept within 3 and 1e6.
    """
    m = len(values)
    within = variances.mean(axis=0)
    between = (1 + 1 / m) * values.var(axis=0, ddof=1) if m > 1 else np.zeros_like(within)
    ratio = within / np.maximum(between, 1e-12 * np.maximum(within, 1e-300))
    degrees = np.clip((max(m, 2) - 1) * (1 + ratio) ** 2, 3, 1e6)
    return values.mean(axis=0), np.sqrt(within + between), degrees


def half_width(error: np.ndarray, degrees: np.ndarray, level: float) -> np.ndarray:
    """Half width of a two-sided t interval with these standard errors and degrees of freedom."""
    return np.asarray(error * student.ppf((1 + level) / 2, degrees))


def _observed(rows: LifeRows, chosen: np.ndarray) -> float:
    return observed_until(rows.entry[chosen], rows.exit[chosen]) if chosen.any() else 0.0
