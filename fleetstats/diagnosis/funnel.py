"""Shops against each other, fairly: how far a share may stray by chance with so few verdicts."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.stats import binom

from fleetstats.diagnosis.shares import Funnel, FunnelPoint


def funnel_of(shops: np.ndarray, tested: np.ndarray, no_fault: np.ndarray, level: float) -> Funnel | None:
    """Shops with verdicts against the pooled share of no-fault among all verdicts; None without verdicts.

    shops, tested, no_fault: (n,) of the condemned units. Exact binomial limits, wide enough that with probability `level` all shops
    lie within when all are alike (the tails divided by the number of shops).
    """
    if not tested.any():
        return None
    codes, names = pd.factorize(shops[tested])
    counts = np.bincount(codes)
    healthy = np.bincount(codes, weights=no_fault[tested]).astype(int)
    pooled = float(healthy.sum() / counts.sum())
    tail = (1 - level) / 2 / len(counts)
    low, high = binom.ppf(tail, counts, pooled), binom.ppf(1 - tail, counts, pooled)
    points = [
        FunnelPoint(shop=str(name), tested=int(n), no_fault=int(k), share=float(k / n), limit_lower=float(a / n), limit_upper=float(b / n),
                    place="below" if k < a else "above" if k > b else "within")
        for name, n, k, a, b in zip(names, counts, healthy, low, high, strict=True)
    ]
    return Funnel(pooled=pooled, level=level, points=tuple(sorted(points, key=lambda p: -p.tested)))
