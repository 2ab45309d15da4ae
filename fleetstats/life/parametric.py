"""Weibull life of a single population: maximum likelihood, likelihood-ratio limits, and the life as recorded by lifelines."""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.optimize import brentq
from scipy.stats import chi2

from fleetstats.errors import CannotAnswer, Problem
from fleetstats.life.watch import under_watch

FEWEST_FAILURES = 10


@dataclass(frozen=True, kw_only=True)
class WeibullFit:
    """S(t) = exp(-(t / scale)^shape). log_covariance: (2, 2) of (log shape, log scale). scale in the unit of the ages."""

    shape: float
    scale: float
    log_likelihood: float
    log_covariance: np.ndarray

    def quantile(self, share_failed: float) -> float:
        """Age at which `share_failed` (0..1) have failed."""
        return float(self.scale * (-np.log1p(-share_failed)) ** (1 / self.shape))


@dataclass(frozen=True, kw_only=True)
class _Terms:
    """Centred log ages: failures d, and net exits minus entries; the scale is profiled out."""

    x: np.ndarray
    d: np.ndarray
    net: np.ndarray
    middle: float

    def profile(self, log_shape: float, quantile: tuple[float, float] | None = None) -> tuple[float, float]:
        """(log-likelihood, log scale) at a shape: the best scale, or the one that puts quantile (log(-log(1-p)), age) there."""
        k, total = np.exp(log_shape), self.d.sum()
        mass = float(self.net @ np.exp(k * self.x))
        log_scale = np.log(mass / total) / k if quantile is None else np.log(quantile[1]) - self.middle - quantile[0] / k
        value = total * (log_shape - k * log_scale) + (k - 1) * float(self.d @ self.x) - np.exp(-k * log_scale) * mass
        return float(value - self.middle * total), float(log_scale + self.middle)


def _terms(exit: np.ndarray, failed: np.ndarray, entry: np.ndarray | None, count: np.ndarray | None) -> _Terms:
    weight = np.ones(len(exit)) if count is None else np.asarray(count, float)
    d = weight * failed
    if d.sum() <= 0:
        raise CannotAnswer(Problem(what="no failure was observed", remedy="A Weibull life needs failures; ask for a rate instead."))
    late = np.zeros(len(exit), bool) if entry is None else entry > 0
    ages = np.concatenate([exit, entry[late] if entry is not None else []])
    x, d = np.log(ages), np.concatenate([d, np.zeros(int(late.sum()))])
    middle = float(d @ x / d.sum())
    return _Terms(x=x - middle, d=d, net=np.concatenate([weight, -weight[late]]), middle=middle)


def weibull_mle(exit: np.ndarray, failed: np.ndarray, entry: np.ndarray | None = None, count: np.ndarray | None = None) -> WeibullFit:
    """Maximum likelihood of left-truncated, right-censored ages; unit-free.

    exit: (n,) ages > 0. failed: (n,) bool or 0/1. entry: (n,) ages of entry, none when left out. count: (n,) weight of each row.
    Newton on the log shape with the scale profiled out. Raises CannotAnswer without a failure, or when the shape runs away.
    """
    terms = _terms(np.asarray(exit, float), np.asarray(failed, float), entry if entry is None else np.asarray(entry, float), count)
    total, a = terms.d.sum(), 0.0
    for _ in range(100):
        k = np.exp(a)
        w = terms.net * np.exp(k * terms.x)
        s0, s1, s2 = w.sum(), float(w @ terms.x), float(w @ terms.x**2)
        slope, curve = total - total * k * s1 / s0, -total * (k * s1 / s0 + k * k * (s2 / s0 - (s1 / s0) ** 2))
        step = float(np.clip(-slope / curve if curve < 0 else np.sign(slope) * 0.5, -1, 1))
        a += step
        if abs(step) < 1e-12:
            break
    if not -4 < a < 4:
        raise CannotAnswer(Problem(what="the Weibull shape has no finite estimate", remedy="Too few distinct ages at failure; show the curve instead."))
    value, log_scale = terms.profile(a)
    return WeibullFit(shape=float(np.exp(a)), scale=float(np.exp(log_scale)), log_likelihood=value, log_covariance=_covariance(terms, a, log_scale))


def _covariance(terms: _Terms, log_shape: float, log_scale: float) -> np.ndarray:
    """Inverse observed information of (log shape, log scale)."""
    k, total = np.exp(log_shape), terms.d.sum()
    u = k * (terms.x + terms.middle - log_scale)
    mass = terms.net * np.exp(u)
    cross = float(k * (total - mass.sum() - mass @ u))
    information = np.array([[float(mass @ (u * u) + mass @ u - terms.d @ u), cross], [cross, k * k * mass.sum()]])
    return np.linalg.inv(information)


def likelihood_ratio_limits(
    share_failed: float, level: float, exit: np.ndarray, failed: np.ndarray, entry: np.ndarray | None = None, count: np.ndarray | None = None,
) -> tuple[float, float]:
    """Likelihood-ratio limits of the age at which `share_failed` have failed; arguments as in `weibull_mle`.

    Ages whose profile log-likelihood lies within chi2(level, 1)/2 of the largest (Meeker & Escobar 1998, section 8.3, from memory).
    """
    fit = weibull_mle(exit, failed, entry, count)
    terms = _terms(np.asarray(exit, float), np.asarray(failed, float), entry if entry is None else np.asarray(entry, float), count)
    zp, centre = float(np.log(-np.log1p(-share_failed))), np.log(fit.quantile(share_failed))
    wanted = fit.log_likelihood - chi2.ppf(level, 1) / 2
    grid = np.log(fit.shape) + np.linspace(-3, 3, 61)

    def gap(log_age: float) -> float:
        point = (zp, float(np.exp(log_age)))
        best = float(max(grid, key=lambda a: terms.profile(float(a), point)[0]))
        left, right = best - 0.1, best + 0.1
        for _ in range(60):
            first, second = left + 0.382 * (right - left), left + 0.618 * (right - left)
            left, right = (first, right) if terms.profile(first, point)[0] < terms.profile(second, point)[0] else (left, second)
        return float(terms.profile((left + right) / 2, point)[0] - wanted)

    return float(np.exp(brentq(gap, centre - 6, centre, xtol=1e-10))), float(np.exp(brentq(gap, centre, centre + 6, xtol=1e-10)))


def recorded_weibull(entry: np.ndarray, exit: np.ndarray, failed: np.ndarray) -> WeibullFit:
    """Weibull life of one population by lifelines, every removal given as `failed` taken at its word.

    entry, exit: (n,) ages in years, entry < exit. Raises CannotAnswer below 10 failures or where the fitter does not converge.
    Ages are scaled by their median before the fit, and no warning of the fitter leaves this function.
    """
    from lifelines import WeibullFitter
    from lifelines.exceptions import ConvergenceError

    if int(failed.sum()) < FEWEST_FAILURES:
        remedy = f"A Weibull life needs at least {FEWEST_FAILURES} removals of such units while they were watched."
        raise CannotAnswer(Problem(what="too few removals of units of known age and origin for a Weibull life", found=str(int(failed.sum())), remedy=remedy))
    unit = float(np.median(exit))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            fitter = WeibullFitter().fit(exit / unit, failed, entry=entry / unit)
        except (ConvergenceError, ValueError, FloatingPointError) as error:
            raise CannotAnswer(Problem(what="the Weibull fit did not converge", found=type(error).__name__, remedy="Show the counted curve instead.")) from None
    errors = fitter.variance_matrix_.loc[["rho_", "lambda_"], ["rho_", "lambda_"]].to_numpy()
    scale = np.array([fitter.rho_, fitter.lambda_])
    if not np.isfinite(errors).all():
        raise CannotAnswer(Problem(what="the Weibull fit has no finite error", remedy="Show the counted curve instead."))
    value = float(fitter.log_likelihood_) - float(failed.sum()) * np.log(unit)
    return WeibullFit(shape=float(scale[0]), scale=float(scale[1] * unit), log_likelihood=value, log_covariance=errors / np.outer(scale, scale))


def recorded_rows(tenures: pd.DataFrame) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(entry, exit, condemned) of the tenures that were under observation, (n,) each, ages in years."""
    seen = under_watch(tenures)
    return seen["entered_years"].to_numpy(float), seen["ended_years"].to_numpy(float), seen["condemned"].to_numpy(bool)
