"""What every answer rests on: records, histories, draws of the cause, lives, rates, prices and calendar, each made once."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np
import pandas as pd

from fleetstats.budget import NextYear, next_year
from fleetstats.decision import Case, Decision, Prices, Rates, case_from_visit, decide, read_calendar, read_prices
from fleetstats.diagnosis import CauseDraws, draw_causes
from fleetstats.errors import CannotAnswer
from fleetstats.histories import Histories, build_histories
from fleetstats.life import LifeEstimates, NeedlessRates, OutsideFaultRates, estimate_life, needless_rates, outside_fault_rates
from fleetstats.money import Money, read_money
from fleetstats.records import Fleet, load_fleet
from fleetstats.settings import Project

Value = TypeVar("Value")


@dataclass
class Asked:
    """Asks questions one by one and keeps why some could not be answered: name of the part -> reason."""

    reasons: dict[str, str] = field(default_factory=dict)

    def __call__(self, name: str, question: Callable[[], Value]) -> Value | None:
        """The answer, or None with the reason kept under `name`."""
        try:
            return question()
        except CannotAnswer as refusal:
            what = refusal.problems[0].what.rstrip(".")
            self.reasons[name] = f"{what[0].upper()}{what[1:]}."
            return None


@dataclass(frozen=True, kw_only=True)
class Grounds:
    """Parts are None where the data cannot carry them (reasons in `asked`) or the project has no such file."""

    fleet: Fleet
    histories: Histories
    causes: CauseDraws
    lives: LifeEstimates | None
    needless: NeedlessRates | None
    outside: OutsideFaultRates | None
    prices: Prices | None
    calendar: pd.DataFrame | None
    money: Money | None
    asked: Asked

    def decide(self, case: Case) -> Decision:
        """What to do with the unit of `case`; without prices the evidence and the gate alone."""
        return self._decide(case, None)

    def decide_visit(self, visit_id: str) -> Decision:
        """What to do with the unit of a visit of the store; a unit condemned there has the probability of its draws.

        Raises InputRefused when the visit is not there, or its unit is not known.
        """
        return self._decide(case_from_visit(self.fleet, self.histories, visit_id), self._drawn(visit_id))

    def _decide(self, case: Case, probability: float | None) -> Decision:
        rates = Rates(needless=self.needless, outside=self.outside)
        return decide(case, self.prices, self.calendar, self.lives, rates, self.fleet.settings, probability=probability, money=self.money)

    def _drawn(self, visit_id: str) -> float | None:
        """Chance of a true failure of the unit this visit condemned; None where it condemned none or nothing is anchored."""
        tenures = self.histories.tenures
        ended = tenures.loc[tenures["ended_by"].eq(visit_id).fillna(False).astype(bool), "tenure_id"]
        place = np.flatnonzero(np.isin(self.causes.tenure_ids, ended.to_numpy(dtype=str)))
        if not len(place) or not self.causes.anchored:
            return None
        return float(np.clip(1 - self.causes.probability_needless[place[0]], 0.001, 0.999))

    def next_year(self) -> NextYear:
        """What the next four quarters will need. Raises CannotAnswer without a life or a needless rate."""
        return next_year(self.histories, self.causes, self.lives, self.needless, self.prices, self.fleet.settings, vehicles=self.fleet.vehicles)


def fleet_of(project: Project, level: float | None, seed: int | None) -> Fleet:
    """The store's records; level and seed replace those of fleetstats.toml where given."""
    fleet = load_fleet(project)
    changes = {name: value for name, value in (("level", level), ("seed", seed)) if value is not None}
    return dataclasses.replace(fleet, settings=fleet.settings.model_copy(update=changes))


def grounds_of(project: Project, fleet: Fleet) -> Grounds:
    """Everything answers rest on. Raises InputRefused for a file of prices, calendar or money that does not add up; a missing one is no fault."""
    asked, settings = Asked(), fleet.settings
    histories = build_histories(fleet)
    causes = draw_causes(histories, settings)
    money = read_money(project.money) if project.money.is_file() else None
    return Grounds(
        fleet=fleet, histories=histories, causes=causes, money=money, asked=asked,
        lives=asked("lives", lambda: estimate_life(histories, causes, settings)),
        needless=asked("needless_rates", lambda: needless_rates(histories, causes, fleet.shops, settings)),
        outside=asked("outside_rates", lambda: outside_fault_rates(histories, causes, settings)),
        prices=read_prices(project.prices, settings, money) if project.prices.is_file() else None,
        calendar=read_calendar(project.calendar, settings, money) if project.calendar.is_file() else None,
    )
