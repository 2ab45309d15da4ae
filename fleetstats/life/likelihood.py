"""Log-likelihood of the corrected life, its gradient and its Hessian: causes known, entry late, some failures known only to an interval.

Parameters: b (p,) log scale by covariates; kap0 log shape; kap1 its difference for reconditioned units; l log early hazard.
Cumulative hazard exp(g) + r e^l min(t, 0.5), g = k (log t - x b), k = exp(kap0 + r kap1), r = 1 for reconditioned units.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fleetstats.life.model import EARLY_YEARS

LARGEST_G = 600.0


@dataclass(frozen=True, kw_only=True)
class Points:
    """Ages of some rows: matrix (n, p), reconditioned (n,) 0/1, age (n,) years > 0, log_age (n,)."""

    matrix: np.ndarray
    reconditioned: np.ndarray
    age: np.ndarray
    log_age: np.ndarray


def points(matrix: np.ndarray, reconditioned: np.ndarray, age: np.ndarray) -> Points:
    """Points with their log ages."""
    return Points(matrix=matrix, reconditioned=reconditioned, age=age, log_age=np.log(age))


@dataclass(frozen=True, kw_only=True)
class LifeData:
    """What the likelihood sees, one set per draw of the causes.

    ends: where each unit's hazard stops accumulating (exit, or last good age where the failure lies in an interval).
    entries: rows that came under observation late. failures: exact ages at failure. intervals: (from, to) of the others.
    """

    ends: Points
    entries: Points
    failures: Points
    intervals: tuple[Points, Points]


@dataclass
class _Sums:
    """Value, gradient and Hessian as they are added up; p covariates and the three parameters after them."""

    p: int
    value: float
    gradient: np.ndarray
    hessian: np.ndarray


class _Parts:
    """g, shape and early hazard at some points, and products of their derivatives."""

    def __init__(self, theta: np.ndarray, at: Points) -> None:
        self.p, self.at = at.matrix.shape[1], at
        b, kap0, kap1, early = theta[: self.p], theta[self.p], theta[self.p + 1], theta[self.p + 2]
        self.log_shape = kap0 + kap1 * at.reconditioned
        self.shape = np.exp(self.log_shape)
        self.g = np.minimum(self.shape * (at.log_age - at.matrix @ b), LARGEST_G)
        self.mass = np.exp(self.g)
        self.early = np.exp(early) * at.reconditioned

    @property
    def cumulative(self) -> np.ndarray:
        """(n,) cumulative hazard."""
        return np.asarray(self.mass + self.early_mass)

    @property
    def early_mass(self) -> np.ndarray:
        """(n,) its early part."""
        return np.asarray(self.early * np.minimum(self.at.age, EARLY_YEARS))

    def slopes(self) -> np.ndarray:
        """(n, p + 2) gradient of g in (b, kap0, kap1)."""
        return np.column_stack([-self.shape[:, None] * self.at.matrix, self.g, self.g * self.at.reconditioned])

    def curvature(self, weight: np.ndarray) -> np.ndarray:
        """(p + 2, p + 2) sum of weight times the Hessian of g."""
        r, p = self.at.reconditioned, self.p
        out = np.zeros((p + 2, p + 2))
        across = -(self.at.matrix * (weight * self.shape)[:, None]).T
        out[:p, p], out[:p, p + 1] = across.sum(axis=1), across @ r
        out[p, :p], out[p + 1, :p] = out[:p, p], out[:p, p + 1]
        wg = weight * self.g
        out[p, p], out[p, p + 1], out[p + 1, p + 1] = wg.sum(), wg @ r, wg @ r
        out[p + 1, p] = out[p, p + 1]
        return out


def log_likelihood(theta: np.ndarray, data: LifeData) -> float:
    """Value alone, without penalties."""
    value = -_Parts(theta, data.ends).cumulative.sum() + _Parts(theta, data.entries).cumulative.sum()
    if len(data.failures.age):
        parts = _Parts(theta, data.failures)
        value += np.log(_hazards(parts).sum(axis=0)).sum()
    if len(data.intervals[0].age):
        value += np.log(-np.expm1(-_width(_Parts(theta, data.intervals[0]), _Parts(theta, data.intervals[1])))).sum()
    return float(value)


def derivatives(theta: np.ndarray, data: LifeData) -> tuple[np.ndarray, np.ndarray]:
    """Gradient (p + 3,) and Hessian (p + 3, p + 3) of `log_likelihood`."""
    p = data.ends.matrix.shape[1]
    sums = _Sums(p, 0.0, np.zeros(p + 3), np.zeros((p + 3, p + 3)))
    _add_cumulative(sums, _Parts(theta, data.ends), -1.0)
    _add_cumulative(sums, _Parts(theta, data.entries), 1.0)
    if len(data.failures.age):
        _add_failures(sums, _Parts(theta, data.failures))
    if len(data.intervals[0].age):
        _add_intervals(sums, _Parts(theta, data.intervals[0]), _Parts(theta, data.intervals[1]))
    return sums.gradient, sums.hessian


def _add_cumulative(sums: _Sums, parts: _Parts, sign: float | np.ndarray) -> None:
    weight, slopes, q = sign * parts.mass, parts.slopes(), sums.p + 2
    sums.gradient[:q] += weight @ slopes
    sums.hessian[:q, :q] += (slopes * weight[:, None]).T @ slopes + parts.curvature(weight)
    early = float(np.sum(sign * parts.early_mass))
    sums.gradient[q] += early
    sums.hessian[q, q] += early


def _hazards(parts: _Parts) -> np.ndarray:
    """(2, n) Weibull and early hazard at an exact failure."""
    return np.stack([parts.shape * parts.mass / parts.at.age, parts.early * (parts.at.age <= EARLY_YEARS)])


def _add_failures(sums: _Sums, parts: _Parts) -> None:
    """log of a sum of two hazards: a mixture with weight pi of the Weibull one."""
    weibull, early = _hazards(parts)
    pi = weibull / (weibull + early)
    apart = np.column_stack([parts.slopes(), -np.ones(len(pi))])
    apart[:, sums.p] += 1.0
    apart[:, sums.p + 1] += parts.at.reconditioned
    q = sums.p + 2
    sums.gradient[:q] += pi @ apart[:, :q]
    sums.gradient[q] += (1 - pi).sum()
    sums.hessian[:q, :q] += parts.curvature(pi)
    sums.hessian += (apart * (pi * (1 - pi))[:, None]).T @ apart


def _width(left: _Parts, right: _Parts) -> np.ndarray:
    return np.asarray(np.clip(right.cumulative - left.cumulative, 1e-12, LARGEST_G))


def _add_intervals(sums: _Sums, left: _Parts, right: _Parts) -> None:
    """log(1 - exp(-D)), D the cumulative hazard between the last good age and the finding."""
    m = 1 / np.expm1(_width(left, right))
    _add_cumulative(sums, right, m)
    _add_cumulative(sums, left, -m)
    slope = np.column_stack([right.slopes() * right.mass[:, None] - left.slopes() * left.mass[:, None], right.early_mass - left.early_mass])
    sums.hessian -= (slope * (m * (1 + m))[:, None]).T @ slope
