"""What the outlook needs of the lives: cumulative hazards by age, the rate of outside faults, and how many of them cost a sound unit.

Every array has a leading axis of draws: row 0 is the estimate, the rows after it are draws of its parameters.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.stats import norm

from fleetstats.life import FailureModel, LifeEstimates, NeedlessRates, OutsideFaultRates
from fleetstats.life.lives import GroupRate

Floats = npt.NDArray[np.float64]
CumulativeHazard = Callable[[Floats], Floats]
"""Ages in years (k,) -> expected true failures up to each age (n, k)."""
HALF_DAY = 0.5 / 365.25


@dataclass(frozen=True, kw_only=True)
class Rates:
    """The two rates of the records that stand beside the lives; None where they were refused."""

    needless: NeedlessRates | None = None
    outside: OutsideFaultRates | None = None


@dataclass(frozen=True, kw_only=True)
class Hazards:
    """Hazards of one vehicle.

    failure: origin ("new", "reconditioned") -> cumulative hazard of true failure. outside: (n,) faults outside the unit that show as a
    complaint about cooling, per year. needless_share: (n,) share of them that end in a sound unit condemned, at the shops as they are.
    anchored: lives and rates come from records whose causes are held by bench verdicts; False: assumed values, no money may be built on them.
    observed_years: origin -> age up to which the records carry the life. assumptions: what was taken from defaults.
    """

    failure: Mapping[str, CumulativeHazard] = field(repr=False)
    outside: Floats
    needless_share: Floats
    anchored: bool
    observed_years: Mapping[str, float]
    assumptions: tuple[str, ...] = ()

    @property
    def needless(self) -> Floats:
        """(n,) sound units condemned, per year."""
        return self.outside * self.needless_share

    def at(self, origin: str, age_years: float) -> Floats:
        """(n,) hazard of true failure per year at this age, over the day around it."""
        first = max(age_years - HALF_DAY, 0.0)
        h = self.failure[origin](np.array([first, first + 2 * HALF_DAY]))
        return np.asarray((h[:, 1] - h[:, 0]) / (2 * HALF_DAY))


def weibull(shape: npt.ArrayLike, scale_years: npt.ArrayLike) -> CumulativeHazard:
    """Cumulative hazard (t / scale)^shape; shape, scale_years: one number or (n,)."""
    k, s = np.atleast_1d(np.asarray(shape, float)), np.atleast_1d(np.asarray(scale_years, float))
    return lambda ages: np.asarray((np.asarray(ages, float) / s[:, None]) ** k[:, None])


def assumed_hazards(n: int) -> Hazards:
    """Values to reckon with where the records carry no life: Weibull 1.8, 14 years (new), 1.2, 11 years (reconditioned), 0.25 outside
    faults a year, one in four of them costing a sound unit. Assumed, no source; n rows, all alike."""
    return Hazards(
        failure={"new": weibull(np.full(n, 1.8), 14.0), "reconditioned": weibull(np.full(n, 1.2), 11.0)},
        outside=np.full(n, 0.25), needless_share=np.full(n, 0.25), anchored=False, observed_years={},
        assumptions=("life of units: Weibull shape 1.8, scale 14 years (new) and 1.2, 11 years (reconditioned): assumed, no source",
                     "outside faults 0.25 per vehicle-year, one in four of them costing a sound unit: assumed, no source",
                     "these assumed lives and rates serve the evidence only, no cost is built on them"),
    )


def hazards_for(
    lives: LifeEstimates | None, rates: Rates, *, size_l: float | None, hot: bool, n: int, rng: np.random.Generator,
) -> Hazards:
    """The hazards of a vehicle with this refrigerator size (litres) and climate, from the estimates of the records.

    The needless rate is that of all shops together: a vehicle may come to any of them, and one shop's rate is only its part.
    Assumed values stand in where the records carry no corrected life or no rates. n: rows, the estimate and n - 1 draws.
    """
    if lives is None or lives.model is None or rates.needless is None or rates.outside is None:
        return assumed_hazards(n)
    model = lives.model
    parameters = np.vstack([model.point, model.sample(n - 1, rng)])
    size = "unknown" if size_l is None else f"{size_l:.0f}"
    outside = rate_draws(group_rate(rates.outside.overall, rates.outside.by_size, size), n, rng)
    needless = rate_draws(group_rate(rates.needless.overall, rates.needless.by_size, size), n, rng)
    return Hazards(
        failure={origin: _of_model(model, parameters, origin, size_l, hot) for origin in ("new", "reconditioned")},
        outside=outside, needless_share=np.minimum(needless / outside, 1.0), anchored=True, observed_years=dict(model.observed_years),
    )


def _of_model(model: FailureModel, parameters: Floats, origin: str, size_l: float | None, hot: bool) -> CumulativeHazard:
    def cumulative(ages: Floats) -> Floats:
        units = pd.DataFrame({"origin": origin, "size_l": np.nan if size_l is None else size_l, "hot": hot}, index=range(len(ages)))
        return model.cumulative_hazard(np.asarray(ages, float), units.astype({"size_l": "float64", "hot": "boolean"}), parameters)

    return cumulative


def group_rate(overall: GroupRate, groups: tuple[GroupRate, ...], name: str) -> GroupRate:
    """The rate of one group; the fleet's where the group is not there or had no event: few vehicle-years without one say little."""
    return next((group for group in groups if group.group == name and group.rate.estimate), overall)


def rate_draws(group: GroupRate, n: int, rng: np.random.Generator) -> Floats:
    """(n,) row 0 the rate per year, the others draws of a gamma with its mean and the spread its interval shows.

    A rate without any event is drawn as half an event in its vehicle-years.
    """
    mean = group.rate.estimate or 0.5 / max(group.exposure_years, 1.0)
    if group.rate.lower is None or group.rate.upper is None or group.rate.upper <= group.rate.lower:
        return np.full(n, mean)
    sd = (group.rate.upper - group.rate.lower) / (2 * norm.ppf((1 + group.rate.level) / 2))
    shape = max((mean / sd) ** 2, 0.5)
    return np.concatenate([[mean], rng.gamma(shape, mean / shape, n - 1)])
