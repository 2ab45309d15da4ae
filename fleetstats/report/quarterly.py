"""`Quarterly`: what was asked of the records at one date, and what they could answer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from fleetstats.budget import NextYear
from fleetstats.decision import Decision
from fleetstats.diagnosis import RemovalAudit, SenderAudit
from fleetstats.life import LifeEstimates, NeedlessRates, OutsideFaultRates, SurvivalCurve
from fleetstats.report.changes import Changes
from fleetstats.results import Result, plain

ANSWERED, BOUNDS, CANNOT_SAY = "answered", "bounds only", "cannot say"


@dataclass(frozen=True, kw_only=True)
class Answer:
    """One question and how far these data answer it.

    state: 'answered', 'bounds only' or 'cannot say'. says: the answer, or the bounds, in words.
    because: why no more is said. smallest_change: the least that would change it; both empty when answered.
    """

    question: str
    state: str
    says: str = ""
    because: str = ""
    smallest_change: str = ""


@dataclass(frozen=True, kw_only=True)
class OpenVisit:
    """A visit not closed at as_of: where, why, the state of its safety gate, and the decision where prices allow one.

    inferred: taken as open, because neither a state nor a release is recorded of it; else a state says so.
    """

    visit_id: str
    vehicle_id: str | None
    shop: str | None
    opened: dt.date | None
    symptom: str
    gate_state: str
    gate_finding: str
    decision: Decision | None = None
    not_decided: str = ""
    inferred: bool = False


@dataclass(frozen=True, kw_only=True)
class Quarterly(Result):
    """Everything the quarterly page shows.

    counts: vehicles, visits, condemned and so on, from the histories. period: first and last day of the visits, None without any.
    files, unknown, rejects: the account of the import; rejects as counts per file and fault. notes: what the histories assumed.
    curves: survival as recorded and corrected, by origin. spend: quarter, price_basis, spend, visits, complete; spend_by_year: the same per fiscal year.
    totals_summed: visits in the spend that state no total, so that the sum of their parts was taken.
    incomplete: shops whose records end before as_of, with their last day. answers: question by question. reasons: part -> why it is None.
    not_taken_as_open: how many visits are neither over nor taken as open, and why; empty where there are none.
    changes: since the import that the last run before was made on, None where nothing changed.
    Parts are None where the data cannot carry them; `answers` says why.
    """

    fleet: str
    quarter: str
    as_of: dt.date
    level: float
    seed: int
    version: str
    counts: dict[str, float]
    period: tuple[dt.date, dt.date] | None
    files: pd.DataFrame = field(compare=False)
    unknown: pd.DataFrame = field(compare=False)
    rejects: pd.DataFrame = field(compare=False)
    notes: tuple[str, ...]
    audit: RemovalAudit | None
    senders: SenderAudit | None
    lives: LifeEstimates | None
    curves: tuple[SurvivalCurve, ...]
    needless_rates: NeedlessRates | None
    outside_rates: OutsideFaultRates | None
    next_year: NextYear | None
    open_visits: tuple[OpenVisit, ...]
    spend: pd.DataFrame = field(compare=False)
    spend_by_year: pd.DataFrame = field(compare=False)
    incomplete: dict[str, str]
    answers: tuple[Answer, ...]
    reasons: dict[str, str]
    changes: Changes | None = None
    totals_summed: int = 0
    not_taken_as_open: str = ""

    @property
    def off_hire(self) -> tuple[OpenVisit, ...]:
        """Open visits whose gate is closed, by vehicle: these vehicles must not be used."""
        closed = [visit for visit in self.open_visits if visit.gate_state == "closed"]
        return tuple(sorted(closed, key=lambda visit: (visit.vehicle_id or "", visit.visit_id)))

    def table(self) -> pd.DataFrame:
        """The questions with their state and answer."""
        return pd.DataFrame([plain(answer) for answer in self.answers])

    def to_dict(self) -> dict[str, Any]:
        """All parts as JSON holds them; curves are left to `fleetstats.survival_curve`."""
        return {key: value for key, value in super().to_dict().items() if key != "curves"}
