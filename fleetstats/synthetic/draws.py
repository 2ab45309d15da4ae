"""Random values from one stream of uniform doubles by inverse distribution functions of our own."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TypeVar

import numpy as np
from scipy.special import ndtri

Item = TypeVar("Item")


def weibull_quantile(p: float, scale: float, shape: float) -> float:
    """Age by which the share `p` has failed under a Weibull law, in the unit of `scale`."""
    return float(scale * (-math.log1p(-p)) ** (1.0 / shape))


def lognormal_quantile(p: float, median: float, sigma: float) -> float:
    """Age by which the share `p` has failed under a lognormal law; `sigma` is the standard deviation of log age."""
    return median * math.exp(sigma * float(ndtri(p)))


def exponential_quantile(p: float, mean: float) -> float:
    """Age by which the share `p` has failed at a constant rate 1/mean."""
    return -mean * math.log1p(-p)


def poisson_quantile(p: float, mean: float) -> int:
    """Smallest count whose cumulative Poisson probability reaches `p` (by summing the terms; for means below about 50)."""
    count, term = 0, math.exp(-mean)
    total = term
    while total < p and count < 1000:
        count += 1
        term *= mean / count
        total += term
    return count


class Stream:
    """One PCG64 stream; every value of a fleet comes from it, in the order of asking."""

    def __init__(self, seed: int) -> None:
        self._uniform = np.random.Generator(np.random.PCG64(seed)).random

    def u(self) -> float:
        """A uniform double in [0, 1)."""
        return float(self._uniform())

    def chance(self, probability: float) -> bool:
        """True with the probability."""
        return self.u() < probability

    def between(self, low: float, high: float) -> float:
        """Uniform on [low, high)."""
        return low + (high - low) * self.u()

    def whole(self, low: int, high: int) -> int:
        """A whole number from low to high, both included."""
        return low + int(self.u() * (high - low + 1))

    def pick(self, items: Sequence[Item]) -> Item:
        """One of the items, equally likely."""
        return items[int(self.u() * len(items))]

    def weighted(self, weights: Mapping[Item, float]) -> Item:
        """One of the keys with probability proportional to its weight."""
        mark = self.u() * sum(weights.values())
        for item, weight in weights.items():
            mark -= weight
            if mark < 0:
                return item
        return item

    def exponential(self, mean: float) -> float:
        """Exponential with the mean."""
        return exponential_quantile(self.u(), mean)

    def poisson(self, mean: float) -> int:
        """A Poisson count."""
        return poisson_quantile(self.u(), mean)
