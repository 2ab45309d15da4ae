"""The corrected life for one draw of the causes: rows, penalties, and Newton's method."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.diagnosis import CauseDraws
from fleetstats.errors import CannotAnswer, Problem
from fleetstats.life.likelihood import LifeData, Points, derivatives, log_likelihood, points
from fleetstats.life.model import Covariates, size_class
from fleetstats.life.watch import under_watch

FEWEST_PER_EFFECT = 10
"""An effect (of a size, of heat) is estimated only where so many true failures are expected on its side."""
MOST_STEPS = 100


@dataclass(frozen=True, kw_only=True)
class LifeRows:
    """Tenures as the life sees them, ages in years: matrix (n, p), reconditioned (n,), entry, exit, last_good (n,) with

    entry < exit and entry <= last_good <= exit, condemned (n,), at_inspection (n,): the failure lies between last_good and exit.
    """

    tenure_ids: np.ndarray
    covariates: Covariates
    matrix: np.ndarray
    entry: np.ndarray
    exit: np.ndarray
    last_good: np.ndarray
    condemned: np.ndarray
    at_inspection: np.ndarray

    @property
    def reconditioned(self) -> np.ndarray:
        """(n,) 1 for reconditioned units."""
        return np.asarray(self.matrix[:, 1])


def life_rows(tenures: pd.DataFrame, causes: CauseDraws) -> LifeRows:
    """Rows of new and reconditioned units that were under observation at all; tenures of unknown origin are left out.

    causes: of the same tenures; they say which effects have failures enough (every condemned unit counts where nothing is anchored).
    """
    seen = under_watch(tenures[tenures["origin"].isin(["new", "reconditioned"])])
    failing = pd.Series(1 - causes.probability_needless if causes.anchored else 1.0, index=causes.tenure_ids)
    covariates = covariates_of(seen, np.where(seen["condemned"], failing.reindex(seen["tenure_id"]).to_numpy(float), 0.0))
    entry, exit = seen["entered_years"].to_numpy(float), seen["ended_years"].to_numpy(float)
    last_good = np.clip(seen["last_good_years"].to_numpy(float), entry, exit)
    return LifeRows(
        tenure_ids=seen["tenure_id"].to_numpy(dtype=str), covariates=covariates, matrix=covariates.matrix(seen), entry=entry, exit=exit,
        last_good=last_good, condemned=seen["condemned"].to_numpy(bool),
        at_inspection=(seen["detection"] == "inspection").fillna(False).to_numpy(bool) & (last_good < exit),
    )


def covariates_of(seen: pd.DataFrame, failing: np.ndarray) -> Covariates:
    """Size classes with at least 10 expected failures get a column (the commonest is the reference), heat where both sides of it have them.

    failing: (n,) chance that each row is a true failure.
    """
    sizes = pd.Series(size_class(seen["size_l"]))
    common = sizes.value_counts(sort=False).sort_values(ascending=False, kind="stable").index
    expected = pd.Series(failing).groupby(sizes).sum()
    named = tuple(str(s) for s in common[1:] if expected[s] >= FEWEST_PER_EFFECT)
    hot = seen["hot"].fillna(False).to_numpy(bool)
    both = min(failing[hot].sum(), failing[~hot].sum()) >= FEWEST_PER_EFFECT
    return Covariates(sizes=named, reference_size=str(common[0]) if len(common) else "unknown", hot=bool(both))


def life_data(rows: LifeRows, failed: np.ndarray) -> LifeData:
    """The rows with these causes. failed: (n,) True where the unit truly failed; every other ending is right-censored at its exit."""
    inside = failed & rows.at_inspection
    late = rows.entry > 0
    r, x = rows.reconditioned, rows.matrix

    def at(chosen: np.ndarray, age: np.ndarray) -> Points:
        return points(x[chosen], r[chosen], np.maximum(age[chosen], 1e-6))

    every = np.ones(len(r), bool)
    return LifeData(
        ends=at(every, np.where(inside, rows.last_good, rows.exit)), entries=at(late, rows.entry), failures=at(failed & ~inside, rows.exit),
        intervals=(at(inside, rows.last_good), at(inside, rows.exit)),
    )


@dataclass(frozen=True, kw_only=True)
class Penalty:
    """Normal priors of the parameters, (p + 3,) each; precision 0: free. fixed: parameters held at their mean."""

    mean: np.ndarray
    precision: np.ndarray
    fixed: np.ndarray


def penalty(n_covariates: int, *, pooled_shape: bool) -> Penalty:
    """Priors: covariates and origin N(0, 0.7^2), log shape N(log 1.7, 0.5^2), its difference N(0, 0.4^2), log early hazard N(log 0.12, 1.2^2).

    Planning values of ours without a published source. pooled_shape: reconditioned units share the shape of new ones.
    """
    mean = np.concatenate([np.zeros(n_covariates), [np.log(1.7), 0.0, np.log(0.12)]])
    sd = np.concatenate([[np.inf], np.full(n_covariates - 1, 0.7), [0.5, 0.4, 1.2]])
    fixed = np.zeros(len(mean), bool)
    fixed[n_covariates + 1] = pooled_shape
    return Penalty(mean=mean, precision=1 / sd**2, fixed=fixed)


@dataclass(frozen=True, kw_only=True)
class LifeFit:
    """Most probable parameters (p + 3,), their covariance (inverse observed information, zero for fixed ones), and the largest gradient left."""

    point: np.ndarray
    covariance: np.ndarray
    gradient: float


def fit_life(data: LifeData, prior: Penalty, start: np.ndarray | None = None) -> LifeFit:
    """Penalised maximum likelihood by Newton's method: floored eigenvalues, steps of at most 1, halved until the value rises.

    Raises CannotAnswer where the end is no maximum.
    """
    theta = _start(data, prior) if start is None else start
    free = ~prior.fixed
    value = _penalised(theta, data, prior)
    for _ in range(MOST_STEPS):
        gradient, hessian = _penalised_derivatives(theta, data, prior)
        step = np.zeros_like(theta)
        step[free] = _ascent(gradient[free], hessian[np.ix_(free, free)])
        if gradient @ step < 1e-10:
            break
        step *= min(1.0, 1.0 / np.abs(step).max())
        for _ in range(40):
            trial = _penalised(theta + step, data, prior)
            if trial >= value + 1e-4 * float(gradient @ step):
                break
            step = step / 2
        theta, value = theta + step, trial
    return _checked(theta, data, prior)


def _checked(theta: np.ndarray, data: LifeData, prior: Penalty) -> LifeFit:
    free = ~prior.fixed
    gradient, hessian = _penalised_derivatives(theta, data, prior)
    information = -hessian[np.ix_(free, free)]
    left = float(np.abs(gradient[free]).max())
    if left > 1e-3 or np.linalg.eigvalsh(information).min() <= 0:
        what = "the life fit did not reach a maximum" if left > 1e-3 else "the life fit is not determined by the data"
        raise CannotAnswer(Problem(what=what, found=f"largest gradient {left:.2g}", remedy="Check the ages of the tenures; show the counted curve instead."))
    covariance = np.zeros((len(theta), len(theta)))
    covariance[np.ix_(free, free)] = np.linalg.inv(information)
    return LifeFit(point=theta, covariance=covariance, gradient=left)


def _ascent(gradient: np.ndarray, hessian: np.ndarray) -> np.ndarray:
    values, vectors = np.linalg.eigh(-hessian)
    values = np.maximum(np.abs(values), 1e-6 * np.abs(values).max())
    return np.asarray(vectors @ ((vectors.T @ gradient) / values))


def _start(data: LifeData, prior: Penalty) -> np.ndarray:
    """Log scale from exposure over failures, log shape log 1.4, the rest at the prior means."""
    failures = len(data.failures.age) + len(data.intervals[0].age)
    exposure = data.ends.age.sum() - data.entries.age.sum()
    theta = prior.mean.copy()
    theta[0] = max(0.0, float(np.log(exposure / max(failures, 0.5))))
    theta[-3] = np.log(1.4)
    return theta


def _penalised(theta: np.ndarray, data: LifeData, prior: Penalty) -> float:
    return log_likelihood(theta, data) - 0.5 * float(prior.precision @ (theta - prior.mean) ** 2)


def _penalised_derivatives(theta: np.ndarray, data: LifeData, prior: Penalty) -> tuple[np.ndarray, np.ndarray]:
    gradient, hessian = derivatives(theta, data)
    return gradient - prior.precision * (theta - prior.mean), hessian - np.diag(prior.precision)
