"""Shares from counts alone."""

import numpy as np
import pytest
from scipy.stats import beta, lognorm

from fleetstats.diagnosis.grid import draw_shares


def by_quadrature(k, v, se, sp):
    """Posterior mean of one group's share over pi, M and theta on a dense grid of densities, written apart from the package."""
    pi = np.linspace(0.002, 0.998, 250)
    m = np.exp(np.linspace(np.log(8) - 3.6, np.log(8) + 3.6, 80))
    theta = np.linspace(0.0005, 0.9995, 1000)
    q = theta * sp + (1 - theta) * (1 - se)
    likelihood = q**k * (1 - q) ** (v - k)
    top = bottom = 0.0
    for centre in pi:
        density = beta.pdf(theta[None, :], centre * m[:, None], (1 - centre) * m[:, None])
        density /= density.sum(axis=1, keepdims=True)
        weight = beta.pdf(centre, 3, 7) * lognorm.pdf(m, 0.9, scale=8) * m
        top += weight @ (density @ (likelihood * theta))
        bottom += weight @ (density @ likelihood)
    return top / bottom


@pytest.mark.parametrize(("k", "v"), [(0, 0), (3, 5), (1, 12)])
def test_one_group_against_quadrature(k, v):
    """The mean of 4,000 draws of one group's share agrees with dense quadrature within .01 (Monte-Carlo error about .003)."""
    n = 4_000
    shares = draw_shares(np.array([float(v)]), np.array([float(k)]), np.full(n, 0.97), np.full(n, 0.98), np.random.default_rng(5))
    assert shares.mean() == pytest.approx(by_quadrature(k, v, 0.97, 0.98), abs=0.012)


def test_a_group_without_verdicts_leans_on_the_others():
    """Its share is drawn around the others' shares, and wider than theirs."""
    n = 1_000
    tested, healthy = np.array([60.0, 60.0, 0.0]), np.array([42.0, 45.0, 0.0])
    shares = draw_shares(tested, healthy, np.full(n, 0.97), np.full(n, 0.98), np.random.default_rng(5))
    assert shares[:, 2].mean() > 0.5, "the prior alone would say 0.3"
    assert shares[:, 2].std() > 1.5 * shares[:, 0].std()
