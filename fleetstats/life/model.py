"""The failure model in numbers: cumulative hazard of any unit up to any age, with the doubt of its parameters."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

EARLY_YEARS = 0.5
"""Reconditioned units carry an extra constant hazard up to this age (years)."""


@dataclass(frozen=True, kw_only=True)
class Covariates:
    """How a unit becomes a row of numbers: 1, reconditioned, one column per size class with failures enough but the commonest, hot.

    sizes: litres (rounded, as text) of the size classes with a column; reference_size: the commonest. Other sizes count as it.
    """

    sizes: tuple[str, ...]
    reference_size: str
    hot: bool

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the columns of `matrix`."""
        return ("intercept", "reconditioned", *(f"size {s} l" for s in self.sizes), *(("hot",) if self.hot else ()))

    @property
    def reference(self) -> str:
        """The group with all covariates zero, in words."""
        size = f"refrigerators of {self.reference_size} l" if self.sizes else "all refrigerator sizes"
        return f"{size}, not in a hot climate zone" if self.hot else size

    def matrix(self, units: pd.DataFrame) -> np.ndarray:
        """(n, p) design of `units`: columns origin, size_l (litres, may be missing), hot (may be missing: not hot)."""
        size = size_class(units["size_l"])
        columns = [np.ones(len(units)), (units["origin"] == "reconditioned").to_numpy(float)]
        columns += [(size == s).astype(float) for s in self.sizes]
        if self.hot:
            columns.append(units["hot"].fillna(False).to_numpy(bool).astype(float))
        return np.column_stack(columns)


def size_class(size_l: pd.Series) -> np.ndarray:
    """(n,) text: litres rounded to whole numbers, 'unknown' where missing."""
    size = size_l.to_numpy(float, na_value=np.nan)
    return np.where(np.isnan(size), "unknown", np.char.mod("%d", np.round(np.nan_to_num(size)).astype(int)))


@dataclass(frozen=True, kw_only=True)
class FailureModel:
    """Weibull life of true failures with covariates and, for reconditioned units, an early hazard up to EARLY_YEARS.

    Cumulative hazard at age t: (t / exp(x b))^k + r e^l min(t, 0.5), k = exp(kap0 + r kap1), r = 1 for reconditioned.
    parameters: names of (b..., log shape, log shape difference, log early hazard). point: (p,) mean over the draws of the cause.
    covariance: (p, p) within + between draws (Rubin).
    draw_points: (m, p), draw_covariances: (m, p, p): the single fits. observed_years: per origin the age up to which 10 units were at risk.
    """

    covariates: Covariates
    parameters: tuple[str, ...]
    point: np.ndarray = field(repr=False)
    covariance: np.ndarray = field(repr=False)
    draw_points: np.ndarray = field(repr=False)
    draw_covariances: np.ndarray = field(repr=False)
    observed_years: dict[str, float]

    def sample(self, n: int, rng: np.random.Generator) -> np.ndarray:
        """(n, p) parameters drawn from the mixture of the single fits' normals: pass them as `parameters` below."""
        which = rng.integers(len(self.draw_points), size=n)
        roots = np.linalg.cholesky(self.draw_covariances + 1e-12 * np.eye(len(self.point)))
        return np.asarray(self.draw_points[which] + np.einsum("nij,nj->ni", roots[which], rng.standard_normal((n, len(self.point)))))

    def cumulative_hazard(self, ages: np.ndarray, units: pd.DataFrame, parameters: np.ndarray | None = None) -> np.ndarray:
        """(k, n) expected true failures of each unit up to its age (years since new or last reconditioned).

        ages: (n,) years, >= 0. units: n rows with origin, size_l, hot. parameters: (k, p), the point when left out (k = 1).
        """
        theta = np.atleast_2d(self.point if parameters is None else parameters)
        x = self.covariates.matrix(units)
        reconditioned, ages = x[:, 1], np.maximum(np.asarray(ages, float), 1e-9)
        shape = np.exp(theta[:, -3, None] + theta[:, -2, None] * reconditioned)
        weibull = np.exp(np.minimum(shape * (np.log(ages) - theta[:, : x.shape[1]] @ x.T), 700.0))
        return np.asarray(weibull + reconditioned * np.exp(theta[:, -1, None]) * np.minimum(ages, EARLY_YEARS))


    def to_dict(self) -> dict[str, Any]:
        """Names, point and standard errors."""
        errors = np.sqrt(np.diag(self.covariance))
        rows = zip(self.parameters, self.point, errors, strict=True)
        return {"reference": self.covariates.reference, "early_years": EARLY_YEARS, "observed_years": dict(self.observed_years),
                "parameters": [{"name": n, "estimate": float(v), "standard_error": float(s)} for n, v, s in rows]}
