"""Results of the room: lives by origin, rates, and curves."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from fleetstats.life.model import FailureModel
from fleetstats.results import Estimate, Result


@dataclass(frozen=True, kw_only=True)
class LifePopulation:
    """Life of one population.

    origin: 'new' or 'reconditioned'. basis: 'as_recorded' (every condemned unit counts as failed) or 'corrected' (true failures only).
    assumption: empty, or the 'if' under which a conditional result stands. failures: expected true failures (corrected) or condemnations.
    reference: the group shape and scale belong to. scale_years: age by which 63.2 % of it would have failed.
    b10_years, b50_years: ages at which 10 % and 50 % would have failed, averaged over the units in service; estimate None: interval
    or '> what was seen' only. A scale without a point: its ends differ by more than a factor 4.
    cautions: sentences that belong beside these numbers.
    """

    origin: str
    basis: str
    failures: float
    reference: str
    shape: Estimate
    scale_years: Estimate
    b10_years: Estimate
    b50_years: Estimate
    assumption: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class LifeEstimates(Result):
    """Lives of all populations that may be reported.

    populations: those with a point or an interval. conditional: the same under named assumptions (bounds and scenarios), no headline.
    failure_rate: true failures per unit-year where there are too few for a life; else None.
    removal_rate: condemned units per unit-year, failed or not, where no life at all may be said; else None.
    model: the corrected failure model for later rooms; None where it is refused. refused: what is not said, and why.
    anchored: at least 10 bench verdicts tell failures from needless removals. unplaced: tenures whose age or origin is not known.
    """

    populations: tuple[LifePopulation, ...]
    conditional: tuple[LifePopulation, ...]
    failure_rate: Estimate | None
    model: FailureModel | None = field(repr=False, compare=False)
    refused: tuple[str, ...]
    removal_rate: Estimate | None = None
    anchored: bool = True
    unplaced: int = 0

    def population(self, origin: str, basis: str) -> LifePopulation | None:
        """The population of this origin and basis, or None where it was refused."""
        return next((p for p in self.populations if p.origin == origin and p.basis == basis), None)

    def table(self) -> pd.DataFrame:
        """One row per population and quantity: origin, basis, quantity, estimate, lower, upper, level, method, unit."""
        names = ("shape", "scale_years", "b10_years", "b50_years")
        rows = [
            {"origin": p.origin, "basis": p.basis, "failures": p.failures, "quantity": name, **getattr(p, name).to_dict()}
            for p in self.populations for name in names
        ]
        return pd.DataFrame(rows)

    def to_dict(self) -> dict[str, Any]:
        """Everything but the model's matrices, which stand under 'model' as names, point and standard errors."""
        out = {key: value for key, value in super().to_dict().items() if key != "model"}
        return {**out, "model": None if self.model is None else self.model.to_dict()}


@dataclass(frozen=True, kw_only=True)
class SurvivalCurve(Result):
    """Share still working by age.

    origin, basis: as in LifePopulation. kind: 'steps' (counted) or 'fitted'. age_years, survival, lower, upper: (n,) each.
    at_risk: (n,) units under observation just before each age. start_age_years: survival is conditional on reaching it.
    transformation: of the limits: 'plain', 'log' or 'log-log'.
    """

    origin: str
    basis: str
    kind: str
    age_years: np.ndarray = field(repr=False, compare=False)
    survival: np.ndarray = field(repr=False, compare=False)
    lower: np.ndarray = field(repr=False, compare=False)
    upper: np.ndarray = field(repr=False, compare=False)
    at_risk: np.ndarray = field(repr=False, compare=False)
    level: float
    method: str
    transformation: str
    start_age_years: float = 0.0

    def table(self) -> pd.DataFrame:
        """Columns age_years, survival, lower, upper, at_risk."""
        return pd.DataFrame({
            "age_years": self.age_years, "survival": self.survival, "lower": self.lower, "upper": self.upper, "at_risk": self.at_risk,
        })


@dataclass(frozen=True, kw_only=True)
class GroupRate:
    """Events per vehicle-year in one group (a shop, a size): events (mean over draws), vehicle-years, rate with interval."""

    group: str
    events: float
    exposure_years: float
    rate: Estimate


@dataclass(frozen=True, kw_only=True)
class NeedlessRates(Result):
    """Needless removals per vehicle-year: overall, by shop (over the vehicles of the depots it serves) and by size of refrigerator."""

    overall: GroupRate
    by_shop: tuple[GroupRate, ...]
    by_size: tuple[GroupRate, ...]

    def table(self) -> pd.DataFrame:
        """One row per group: of, group, events, exposure_years, estimate, lower, upper, unit."""
        return _rates({"overall": (self.overall,), "shop": self.by_shop, "size": self.by_size})


@dataclass(frozen=True, kw_only=True)
class OutsideFaultRates(Result):
    """Faults outside the unit that showed as a complaint about cooling, per vehicle-year: overall and by size of refrigerator.

    misread: share of them that cost a sound unit; None where needless removals cannot be told from failures.
    """

    overall: GroupRate
    by_size: tuple[GroupRate, ...]
    misread: Estimate | None = None

    def table(self) -> pd.DataFrame:
        """One row per group: of, group, events, exposure_years, estimate, lower, upper, unit."""
        return _rates({"overall": (self.overall,), "size": self.by_size})


def _rates(groups: dict[str, tuple[GroupRate, ...]]) -> pd.DataFrame:
    rows = [
        {"of": of, "group": g.group, "events": g.events, "exposure_years": g.exposure_years, "estimate": g.rate.estimate,
         "lower": g.rate.lower, "upper": g.rate.upper, "unit": g.rate.unit}
        for of, members in groups.items() for g in members
    ]
    return pd.DataFrame(rows)
