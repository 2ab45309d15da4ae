"""The true life law of a cooling unit: quantiles for drawing, survival for the truth."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from fleetstats.synthetic.draws import Stream, exponential_quantile, lognormal_quantile, weibull_quantile
from fleetstats.synthetic.scenario import Life, Size

Floats = npt.NDArray[np.float64]


def log_ratio(size: Size, life: Life, *, hot: bool, reconditioned: bool) -> float:
    """Logarithm of the factor on life against the size's own law."""
    return size.log_ratio + life.hot_log_ratio * hot + life.reconditioned_log_ratio * reconditioned


def life_at(p: float, size: Size, life: Life, *, hot: bool, reconditioned: bool) -> float:
    """Age in years by which the share `p` of such units has failed, early defects left out."""
    factor = math.exp(log_ratio(size, life, hot=hot, reconditioned=reconditioned))
    if size.law == "lognormal":
        return factor * lognormal_quantile(p, size.scale_years, size.shape)
    return factor * weibull_quantile(p, size.scale_years, life.reconditioned_shape if reconditioned else size.shape)


def draw_life(stream: Stream, size: Size, life: Life, *, hot: bool, reconditioned: bool, survived_years: float = 0.0) -> float:
    """A life in years, for a unit known to have worked at the age `survived_years`; three uniforms whatever the case."""
    mark, early, defect = stream.u(), stream.u(), stream.u()
    lost = float(1.0 - _wear_survival(np.array([survived_years]), size, life, hot=hot, reconditioned=reconditioned)[0])
    drawn = life_at(lost + (1.0 - lost) * mark, size, life, hot=hot, reconditioned=reconditioned)
    if reconditioned and early < life.early_share:
        drawn = min(drawn, survived_years + exponential_quantile(defect, life.early_mean_years))
    return drawn


def _wear_survival(years: Floats, size: Size, life: Life, *, hot: bool, reconditioned: bool) -> Floats:
    scaled = np.maximum(years, 1e-12) / math.exp(log_ratio(size, life, hot=hot, reconditioned=reconditioned)) / size.scale_years
    if size.law == "lognormal":
        return np.asarray(ndtr(-np.log(scaled) / size.shape), dtype=np.float64)
    return np.asarray(np.exp(-(scaled ** (life.reconditioned_shape if reconditioned else size.shape))), dtype=np.float64)


def survival(years: Floats, size: Size, life: Life, *, hot: bool, reconditioned: bool) -> Floats:
    """Share of such units still working at each age in years, early defects included."""
    wear = _wear_survival(years, size, life, hot=hot, reconditioned=reconditioned)
    if not reconditioned:
        return wear
    spared = 1.0 - life.early_share * -np.expm1(-years / life.early_mean_years)
    return np.asarray(wear * spared, dtype=np.float64)
