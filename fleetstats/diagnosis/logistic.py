"""Penalised logistic regression of a verdict that is sometimes wrong."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import expit


@dataclass(frozen=True, kw_only=True)
class LogisticFit:
    """Mode of the penalised likelihood. point: (p,). information: (p, p), Fisher's, penalty included. log_evidence: Laplace's."""

    point: np.ndarray
    information: np.ndarray
    log_evidence: float


@dataclass(frozen=True, kw_only=True)
class Verdicts:
    """Rows with a verdict: matrix (n, p); fault (n,) 1 where the bench confirmed one; sensitivity, specificity (n,) of its bench."""

    matrix: np.ndarray
    fault: np.ndarray
    sensitivity: np.ndarray
    specificity: np.ndarray

    def log_likelihood(self, point: np.ndarray) -> float:
        """Sum of log P(verdict | row) at the parameters (p,)."""
        p = self._probability(expit(self.matrix @ point))
        return float(np.log(np.where(self.fault > 0, p, 1 - p)).sum())

    def score(self, point: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Gradient (p,) of the log-likelihood and its expected information (p, p)."""
        q = expit(self.matrix @ point)
        p = self._probability(q)
        slope = (self.sensitivity + self.specificity - 1) * q * (1 - q)
        weight = slope**2 / (p * (1 - p))
        return self.matrix.T @ ((self.fault - p) * slope / (p * (1 - p))), (self.matrix * weight[:, None]).T @ self.matrix

    def _probability(self, q: np.ndarray) -> np.ndarray:
        return np.asarray(np.clip(self.sensitivity * q + (1 - self.specificity) * (1 - q), 1e-12, 1 - 1e-12))


def fit_logistic(verdicts: Verdicts, prior_mean: np.ndarray, prior_sd: np.ndarray, start: np.ndarray | None = None) -> LogisticFit:
    """Most probable parameters under P(fault confirmed) = Se q + (1 - Sp)(1 - q), q = expit(matrix b), b ~ N(prior_mean, prior_sd^2).

    prior_sd: (p,), infinite where there is no penalty. start: (p,). Scoring steps with Fisher weights, halved until the value does not fall.
    """
    precision = np.where(np.isinf(prior_sd), 1e-6, 1 / np.minimum(prior_sd, 1e3) ** 2)
    b = np.where(np.isinf(prior_sd), 0.0, prior_mean) if start is None else start
    value = _penalised(verdicts, b, prior_mean, precision)
    for _ in range(50):
        gradient, information = verdicts.score(b)
        gradient, information = gradient - precision * (b - prior_mean), information + np.diag(precision)
        step = np.linalg.solve(information, gradient)
        if gradient @ step < 1e-8:
            break
        step *= min(1.0, 3.0 / np.abs(step).max())
        for _ in range(30):
            trial = _penalised(verdicts, b + step, prior_mean, precision)
            if trial >= value - 1e-12:
                break
            step = step / 2
        b, value = b + step, trial
    _, information = verdicts.score(b)
    information = information + np.diag(precision)
    penalised = np.isfinite(prior_sd)
    evidence = value + 0.5 * np.log(precision[penalised]).sum() - 0.5 * np.linalg.slogdet(information)[1]
    return LogisticFit(point=b, information=information, log_evidence=float(evidence))


def _penalised(verdicts: Verdicts, b: np.ndarray, mean: np.ndarray, precision: np.ndarray) -> float:
    return verdicts.log_likelihood(b) - 0.5 * float(precision @ (b - mean) ** 2)
