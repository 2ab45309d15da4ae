"""A case: one vehicle with a complaint, what was looked at, and what stands on the shelf; from a TOML file or from a visit."""

from __future__ import annotations

import datetime as dt
import difflib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import pandas as pd
from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from fleetstats.decision.answer import OPTIONS
from fleetstats.decision.prices import Priced
from fleetstats.decision.readings import Outcome, Reading, as_recorded, outcome_of
from fleetstats.documents import Document, read_document, validate
from fleetstats.errors import InputRefused, Problem
from fleetstats.safety import OBSERVATIONS, Gate, gate
from fleetstats.vocabulary.entries import shipped_entries

if TYPE_CHECKING:
    from fleetstats.histories import Histories
    from fleetstats.records import Fleet

DAYS_PER_YEAR = 365.25


def _symptom(code: str) -> str:
    return _known(code, "symptom", "complaint")


def _named(code: str) -> str:
    return _known(code, "finding", "finding")


def _known(code: str, facet: str, words: str) -> str:
    """The code itself where the vocabulary has it; a mistyped one would pass the gate unseen."""
    known = sorted(name for name, (of, _) in shipped_entries().items() if of == facet)
    if code not in known:
        near = difflib.get_close_matches(code, known, n=1, cutoff=0.0)
        raise ValueError(f"unknown code of a {words}; the nearest known one is {near[0]}")
    return code


Symptom = Annotated[str, AfterValidator(_symptom)]
"""Code of a complaint."""
Named = Annotated[str, AfterValidator(_named)]
"""Code of what the shop named."""
Finding = Annotated[Outcome | Reading, BeforeValidator(as_recorded)]
"""What is recorded of a check."""


class GateRecord(Document):
    """observations: words that close the gate. exclusion: what the finding was instead; excluded_by: who says so (initials or role)."""

    observations: list[str] = Field(default_factory=list)
    exclusion: str | None = None
    excluded_by: str | None = None

    @model_validator(mode="after")
    def _known(self) -> GateRecord:
        if unknown := set(self.observations) - set(OBSERVATIONS):
            raise ValueError(f"unknown observation {sorted(unknown)}; known: {', '.join(OBSERVATIONS)}")
        if self.exclusion and not self.excluded_by:
            raise ValueError("an exclusion needs excluded_by: someone answers for it")
        return self


class Sale(Priced):
    """What selling the vehicle as it is would bring and forgo; all three are needed."""

    sale_value: float = Field(ge=0)
    planned_exit_value: float = Field(ge=0)
    margin_per_month: float = Field(ge=0)


class Case(Document):
    """One vehicle with a complaint, on one day.

    installed or unit_age_years: of the cooling unit, one of them. planned_exit: day the vehicle leaves the fleet; without it no cost can be
    given. condemned: the shop has already said the unit is at fault. findings: check code -> "pass", "fail", "done" or a reading.
    shelf: option -> units of the right size on the shelf today. last_good: when a fault is found at an inspection, the last day it worked.
    """

    name: str
    date: dt.date
    vehicle_id: str | None = None
    visit_id: str | None = None
    depot: str | None = None
    shop: str | None = None
    size_l: float | None = Field(None, ge=20, le=600)
    hot: bool = False
    origin: Literal["new", "reconditioned", "unknown"] = "unknown"
    unit_age_years: float | None = Field(None, ge=0, le=60)
    installed: dt.date | None = None
    last_good: dt.date | None = None
    planned_exit: dt.date | None = None
    symptom: Symptom | None = None
    called_mode: Named | None = None
    condemned: bool = False
    recall_open: bool = False
    findings: dict[str, Finding] = Field(default_factory=dict)
    gate: GateRecord = GateRecord()
    sale: Sale | None = None
    shelf: dict[str, int] = Field(default_factory=dict)
    file: str = Field("case", exclude=True)

    @model_validator(mode="after")
    def _adds_up(self) -> Case:
        if (self.unit_age_years is None) == (self.installed is None):
            raise ValueError("give either unit_age_years or installed")
        if unknown := set(self.shelf) - set(OPTIONS):
            raise ValueError(f"shelf: unknown option {sorted(unknown)}; known: {', '.join(OPTIONS)}")
        for name in ("installed", "last_good"):
            day = getattr(self, name)
            if day is not None and day > self.date:
                raise ValueError(f"{name} {day} lies after the day of the case {self.date}")
        if self.planned_exit is not None and self.planned_exit < self.date:
            raise ValueError(f"planned_exit {self.planned_exit} lies before the day of the case {self.date}")
        return self

    @property
    def age_years(self) -> float:
        """Age of the unit on the day of the case, years of 365.25 days."""
        if self.installed is not None:
            return (self.date - self.installed).days / DAYS_PER_YEAR
        return float(self.unit_age_years or 0.0)

    @property
    def life(self) -> Literal["new", "reconditioned"]:
        """Which life the unit has; one of unknown origin counts as new."""
        return "reconditioned" if self.origin == "reconditioned" else "new"

    @property
    def months_to_exit(self) -> int | None:
        """Whole months from the day of the case to the planned exit, rounded."""
        return None if self.planned_exit is None else round((self.planned_exit - self.date).days / DAYS_PER_YEAR * 12)

    def outcomes(self) -> dict[str, str]:
        """Check code -> "pass", "fail" or "done", readings judged by their limits. Raises InputRefused for an impossible one."""
        return {check: outcome_of(check, finding, file=self.file) for check, finding in self.findings.items()}

    def safety_gate(self) -> Gate:
        """The gate by what this case records."""
        return gate(
            symptom=self.symptom, checks=self.outcomes(), finding=self.called_mode, observations=self.gate.observations,
            recall_open=self.recall_open, exclusion=self.gate.exclusion,
        )


def read_case(path: str | Path) -> Case:
    """The case of a TOML file. Raises InputRefused naming the file, the field and the remedy; every reading is judged here."""
    place = Path(path)
    case = read_document(place, Case).model_copy(update={"file": place.name})
    case.outcomes()
    return case


def case_from_visit(fleet: Fleet, histories: Histories, visit_id: str) -> Case:
    """The case of a visit of the store, on the day the vehicle came in.

    Raises InputRefused when the visit is not there, or when the unit in the vehicle that day is not known.
    """
    rows = fleet.visits[fleet.visits["visit_id"] == visit_id]
    if rows.empty:
        raise InputRefused(Problem(what="no such visit in the store", found=visit_id, remedy="Name a visit_id as `explain` or the report shows it."))
    visit = rows.iloc[0]
    day = next((pd.Timestamp(visit[name]).date() for name in ("date_in", "opened_on", "complaint_on", "date_out") if pd.notna(visit[name])), None)
    tenure = None if day is None else _tenure(histories.tenures, visit_id, visit["vehicle_id"], day)
    if day is None or tenure is None:
        remedy = "Write the case as a TOML file with the unit's age, or mend the vehicle's register."
        raise InputRefused(Problem(what="the unit in the vehicle on the day of this visit is not known", found=visit_id, remedy=remedy))
    vehicle = fleet.vehicles[fleet.vehicles["vehicle_id"] == visit["vehicle_id"]]
    return _build(visit, day, tenure, vehicle, _findings(fleet.checks, visit_id))


def _tenure(tenures: pd.DataFrame, visit_id: str, vehicle_id: str, day: dt.date) -> pd.Series | None:
    ended = tenures[(tenures["ended_by"] == visit_id).fillna(False).astype(bool)]
    if len(ended):
        return ended.iloc[0]
    own = tenures[(tenures["vehicle_id"] == vehicle_id).fillna(False).astype(bool) & (tenures["installed"] <= pd.Timestamp(day))]
    return None if own.empty else own.sort_values("installed").iloc[-1]


def _findings(checks: pd.DataFrame, visit_id: str) -> dict[str, str]:
    own = checks[(checks["visit_id"] == visit_id) & checks["outcome"].notna()]
    return dict(zip(own["check"].astype(str), own["outcome"].astype(str), strict=True))


def _build(visit: pd.Series, day: dt.date, tenure: pd.Series, vehicle: pd.DataFrame, findings: dict[str, str]) -> Case:
    register = vehicle.iloc[0] if len(vehicle) else pd.Series(dtype=object)
    planned = register.get("planned_exit")
    ruled_out = _text(visit["certainty"]) == "ruled out"
    age = float(tenure["unit_age_at_installed_years"]) + (pd.Timestamp(day) - tenure["installed"]).days / DAYS_PER_YEAR
    size = tenure["size_l"]
    name = str(visit["visit_id"])
    return validate({
        "name": name, "file": name, "visit_id": name, "date": day, "vehicle_id": _text(visit["vehicle_id"]),
        "depot": _text(tenure["depot"]) or _text(register.get("depot")), "shop": _text(visit["shop"]), "size_l": None if pd.isna(size) else float(size),
        "hot": bool(tenure["hot"]) if pd.notna(tenure["hot"]) else False, "origin": _text(tenure["origin"]) or "unknown", "unit_age_years": max(age, 0.0),
        "planned_exit": None if planned is None or pd.isna(planned) or planned.date() < day else planned.date(),
        "symptom": _text(visit["symptom"]), "called_mode": None if ruled_out else _text(visit["called_mode"]),
        "condemned": _text(visit["removal_reason"]) == "fault of the unit", "findings": findings,
        "recall_open": bool(register.get("recall_open")) if pd.notna(register.get("recall_open")) else False,
    }, Case, file=name)


def _text(value: Any) -> str | None:
    return None if pd.isna(value) else str(value)
