"""Needless shares from counts alone: shops drawn from one beta distribution, on a grid. For few verdicts, or verdicts without covariates."""

from __future__ import annotations

import numpy as np
from scipy.stats import beta, norm

N_CENTRES, N_WEIGHTS, N_SHARES = 24, 12, 40
PRIOR = (3.0, 7.0)
"""Beta parameters of the centre of the shops' needless shares: mean 0.30; a planning value of ours, no source."""


def draw_shares(
    tested: np.ndarray, no_fault: np.ndarray, sensitivity: np.ndarray, specificity: np.ndarray, rng: np.random.Generator,
    prior: tuple[float, float] = PRIOR,
) -> np.ndarray:
    """(n_draws, n_groups) needless shares of groups (shops, senders), given their verdicts.

    tested, no_fault: (n_groups,) counts. sensitivity, specificity: (n_draws,) of the bench.
    A group's share ~ Beta(pi M, (1 - pi) M), pi ~ Beta(prior), log M ~ N(log 8, 0.9^2), all at the (i - 1/2)/n quantiles.
    """
    shares = _grid(prior)
    out = np.empty((len(sensitivity), len(tested)))
    for r, (se, sp) in enumerate(zip(sensitivity, specificity, strict=True)):
        q = np.clip(shares * sp + (1 - shares) * (1 - se), 1e-12, 1 - 1e-12)
        likelihood = np.exp(no_fault[:, None, None] * np.log(q) + (tested - no_fault)[:, None, None] * np.log1p(-q))
        log_hyper = np.log(np.maximum(likelihood.mean(axis=2), 1e-300)).sum(axis=0)
        weight = np.exp(log_hyper - log_hyper.max())
        hyper = rng.choice(len(weight), p=weight / weight.sum())
        within = np.cumsum(likelihood[:, hyper, :], axis=1)
        pick = (within < rng.random(len(tested))[:, None] * within[:, -1:]).sum(axis=1)
        out[r] = shares[hyper, np.minimum(pick, N_SHARES - 1)]
    return out


def _grid(prior: tuple[float, float]) -> np.ndarray:
    """(N_CENTRES * N_WEIGHTS, N_SHARES) shares at equal-weight quantiles, one row per (pi, M)."""
    pi = beta.ppf(_middles(N_CENTRES), *prior)
    m = np.exp(norm.ppf(_middles(N_WEIGHTS), np.log(8), 0.9))
    a, b = np.outer(pi, m).ravel()[:, None], np.outer(1 - pi, m).ravel()[:, None]
    return np.asarray(np.clip(beta.ppf(_middles(N_SHARES)[None, :], a, b), 1e-9, 1 - 1e-9))


def _middles(n: int) -> np.ndarray:
    return (np.arange(n) + 0.5) / n
