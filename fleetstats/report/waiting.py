"""Open visits: the state of the safety gate first, then what to do where prices allow an answer."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pandas as pd

from fleetstats.decision import Decision
from fleetstats.errors import FleetstatsError
from fleetstats.figures.words import counted
from fleetstats.records import Fleet, left_hanging, still_open, why_not_open
from fleetstats.report.meaning import meaning
from fleetstats.report.quarterly import OpenVisit
from fleetstats.safety import gates
from fleetstats.settings import Settings

ORDER = {"closed": 0, "not checked": 1, "clear": 2}


def known(table: pd.DataFrame, as_of: dt.date) -> pd.DataFrame:
    """The rows that were known by `as_of`: reported by then, or without a day of reporting."""
    return table[table["reported_on"].isna() | (table["reported_on"] <= pd.Timestamp(as_of))]


def not_taken_as_open(visits: pd.DataFrame, settings: Settings) -> str:
    """How many of the visits known are neither over nor open, and why; empty where there are none."""
    left = len(left_hanging(visits, settings))
    return f"{counted(left, 'visit is', 'visits are')} not taken as open: {why_not_open(settings)}." if left else ""


def open_visits(fleet: Fleet, decide_visit: Callable[[str], Decision]) -> tuple[OpenVisit, ...]:
    """Visits still open at as_of, those with a closed gate first, then by vehicle.

    decide_visit: from a visit id to its decision.
    """
    visits = still_open(known(fleet.visits, fleet.settings.as_of), fleet.settings)
    states = gates(visits, fleet.checks, fleet.vehicles).set_index("visit_id")
    rows = [_open_visit(row, states.loc[row["visit_id"]], decide_visit) for row in visits.to_dict("records")]
    return tuple(sorted(rows, key=lambda visit: (ORDER[visit.gate_state], visit.vehicle_id or "", visit.visit_id)))


def _open_visit(row: dict[Any, Any], gate: pd.Series, decide_visit: Callable[[str], Decision]) -> OpenVisit:
    decision, reason = _decision(str(row["visit_id"]), decide_visit)
    opened = next((row[name] for name in ("opened_on", "date_in", "complaint_on") if pd.notna(row[name])), None)
    return OpenVisit(
        visit_id=str(row["visit_id"]), vehicle_id=_text(row["vehicle_id"]), shop=_text(row["shop"]),
        opened=opened.date() if isinstance(opened, pd.Timestamp) else None, symptom=_words(_text(row["symptom"])),
        gate_state=str(gate["gate_state"]), gate_finding=str(gate["gate_finding"]), decision=decision, not_decided=reason,
        inferred=bool(pd.isna(row["status"])),
    )


def _decision(visit_id: str, decide_visit: Callable[[str], Decision]) -> tuple[Decision | None, str]:
    try:
        return decide_visit(visit_id), ""
    except FleetstatsError as error:
        return None, str(error)


def _text(value: Any) -> str | None:
    return None if pd.isna(value) else str(value)


def _words(code: str | None) -> str:
    return "not recorded" if code is None else meaning(code)
