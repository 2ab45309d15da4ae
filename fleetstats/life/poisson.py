"""Rates of events whose number is itself in doubt."""

from __future__ import annotations

import numpy as np
from scipy.stats import gamma

from fleetstats.results import Estimate


def poisson_rate(counts: np.ndarray, exposure: float, level: float, rng: np.random.Generator, unit: str) -> Estimate:
    """Rate of events whose number differs by draw. counts: (m,) per draw. exposure: years, > 0.

    Interval from Gamma(count + 1/2) over the draws (Jeffreys); the point is the mean count over exposure.
    """
    if len(counts) == 1 or np.ptp(counts) == 0:
        low, high = gamma.ppf([(1 - level) / 2, (1 + level) / 2], counts[0] + 0.5)
    else:
        low, high = np.quantile(rng.gamma(np.repeat(counts, 200) + 0.5), [(1 - level) / 2, (1 + level) / 2])
    lower = 0.0 if counts.max() == 0 else float(low / exposure)
    method = "events over exposure, Poisson with Jeffreys' prior over the draws of the cause"
    return Estimate(estimate=float(counts.mean() / exposure), lower=lower, upper=float(high / exposure), level=level, method=method, unit=unit)
