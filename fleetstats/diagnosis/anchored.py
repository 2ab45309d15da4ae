"""Draws of the cause by the logistic model: bench accuracy, shop spread and coefficients drawn, then every unit's cause."""

from __future__ import annotations

import numpy as np
from scipy.special import expit

from fleetstats.diagnosis.design import Design
from fleetstats.diagnosis.logistic import LogisticFit, Verdicts, fit_logistic

SPREADS = np.array([0.3, 0.6, 1.0, 1.5, 2.2])
"""Standard deviations of the shops' effects (logit) that are tried."""

UNTESTED_SPREAD = 1.5
"""A shop that does not bench is not like those that do: its effect is drawn at least this wide (logit)."""


def need_probabilities(
    rows: Design, tested: np.ndarray, no_fault: np.ndarray, accuracy: tuple[np.ndarray, np.ndarray], mean: tuple[np.ndarray, np.ndarray],
    odds_tested: float, rng: np.random.Generator,
) -> np.ndarray:
    """(n_draws, n) chances that each condemned unit needed replacing, its own verdict used where it has one.

    tested, no_fault: (n,). accuracy: sensitivity and specificity per draw and row with a verdict, (n_draws, n_tested) each;
    mean: the same at their prior means, (n_tested,), for the weights of the spreads.
    odds_tested: odds of a true fault among tested over untested, all else equal.
    """
    model = _Model(rows, tested, no_fault)
    spreads, starts = model.draw_spreads(mean, len(accuracy[0]), rng)
    q = np.empty((len(spreads), len(rows.shop)))
    for r, spread in enumerate(spreads):
        fit = model.fit(accuracy[0][r], accuracy[1][r], spread, starts[spread])
        effects = model.draw_coefficients(fit, max(spread, UNTESTED_SPREAD), rng)
        q[r] = expit(model.full @ effects - np.where(tested, 0.0, np.log(odds_tested)))
    q[:, tested] = after_verdict(q[:, tested], no_fault[tested], *accuracy)
    return q


def after_verdict(q: np.ndarray, no_fault: np.ndarray, sensitivity: np.ndarray, specificity: np.ndarray) -> np.ndarray:
    """Chance of need given the verdict (Bayes). q: before it; all of one shape or broadcast."""
    fault = q * sensitivity / (q * sensitivity + (1 - q) * (1 - specificity))
    healthy = q * (1 - sensitivity) / (q * (1 - sensitivity) + (1 - q) * specificity)
    return np.asarray(np.where(no_fault, healthy, fault))


class _Model:
    """The logistic model of one fleet, its shop columns included: benching shops are fitted, the others only drawn."""

    def __init__(self, rows: Design, tested: np.ndarray, no_fault: np.ndarray) -> None:
        codes = np.arange(len(rows.shop_names))
        self.benching = np.isin(codes, rows.shop[tested])
        indicators = (rows.shop[:, None] == codes[None, :]).astype(float)
        self.full = np.hstack([rows.matrix, indicators[:, self.benching], indicators[:, ~self.benching]])
        self.n_fitted = rows.matrix.shape[1] + int(self.benching.sum())
        self.columns, self.tested, self.rows = np.ascontiguousarray(self.full[tested, : self.n_fitted]), tested, rows
        self.fault = (~no_fault[tested]).astype(float)

    def fit(self, sensitivity: np.ndarray, specificity: np.ndarray, spread: float, start: np.ndarray | None = None) -> LogisticFit:
        """The fit at this accuracy of every verdict, (n_tested,) each, and this spread of the shops."""
        verdicts = Verdicts(matrix=self.columns, fault=self.fault, sensitivity=sensitivity, specificity=specificity)
        shops = np.full(int(self.benching.sum()), spread)
        mean = np.concatenate([self.rows.prior_mean, np.zeros(len(shops))])
        return fit_logistic(verdicts, mean, np.concatenate([self.rows.prior_sd, shops]), start)

    def draw_spreads(self, mean: tuple[np.ndarray, np.ndarray], n_draws: int, rng: np.random.Generator) -> tuple[np.ndarray, dict[float, np.ndarray]]:
        """Spreads drawn by half-normal(1) prior times Laplace evidence at the mean accuracy, and a start for each."""
        fits = [self.fit(*mean, spread) for spread in SPREADS]
        log_weight = np.array([fit.log_evidence for fit in fits]) - SPREADS**2 / 2
        weight = np.exp(log_weight - log_weight.max())
        starts = {float(spread): fit.point for spread, fit in zip(SPREADS, fits, strict=True)}
        return rng.choice(SPREADS, size=n_draws, p=weight / weight.sum()), starts

    def draw_coefficients(self, fit: LogisticFit, untested_spread: float, rng: np.random.Generator) -> np.ndarray:
        """One draw of all coefficients: the fitted ones from their normal, shops that do not bench from their prior."""
        root = np.linalg.cholesky(fit.information)
        fitted = fit.point + np.linalg.solve(root.T, rng.standard_normal(self.n_fitted))
        return np.concatenate([fitted, untested_spread * rng.standard_normal(int((~self.benching).sum()))])
