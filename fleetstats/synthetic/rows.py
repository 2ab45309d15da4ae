"""A row of a file before it is written: values by canonical name, and what a reader should make of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from fleetstats.synthetic.seasons import date
from fleetstats.synthetic.things import Visit
from fleetstats.synthetic.world import reported_on

Value = str | float | int | bool | dt.date | None


@dataclass
class Row:
    """One line. event: which event of the truth it is about. diseases: planted ones, each with what is expected of it."""

    values: dict[str, Value]
    event: str | None
    fate: str = "accepted"
    sort: float = 0.0
    diseases: list[tuple[str, dict[str, Any]]] = field(default_factory=list)
    visit: Visit | None = None
    number: int = 0
    sheet: str | None = None
    file: str = ""
    part: str = ""

    def amount(self, name: str) -> float:
        """A money value; 0 where there is none."""
        value = self.values.get(name)
        return float(value) if isinstance(value, int | float) else 0.0

    def copy(self, **changes: Value) -> Row:
        """The same line again with other values, without its diseases."""
        return Row({**self.values, **changes}, self.event, self.fate, self.sort, [], self.visit, part=self.part)

    def plant(self, disease: str, **expected: Any) -> None:
        """Note a disease and what a reader should find all the same."""
        self.diseases.append((disease, expected))


def visit_row(visit: Visit, end: int) -> Row:
    """The line of a visit; one that is not finished by `end` is open and holds the complaint only."""
    values: dict[str, Value] = {
        "document": visit.document, "vehicle_id": visit.vehicle.vehicle_id, "shop": visit.shop.name, "technician": visit.technician,
        "complaint_on": date(visit.complaint_on) if visit.complaint_on is not None else None, "opened_on": date(visit.opened),
        "date_in": date(visit.date_in), "detection": visit.detection, "symptom": visit.symptom or None, "complaint_text": visit.complaint_text,
    }
    open_still = visit.date_out > end
    values["reported_on"] = date(reported_on(visit, end)) if visit.shop.lists_open_after_days is not None else None
    values |= {"status": "open"} if open_still else {"status": "closed", "date_out": date(visit.date_out), **_work(visit)}
    return Row(values, event_name(visit), sort=float(visit.date_in if open_still else visit.date_out), visit=visit)


def event_name(visit: Visit) -> str:
    """Name of the event in the truth."""
    return f"E{visit.number:05d}"


def _work(visit: Visit) -> dict[str, Value]:
    gross = 1.0 + visit.shop.tax_rate
    parts, labour, other = (round(amount * gross, 2) for amount in (visit.parts, visit.labour, visit.other))
    return {
        "cause_text": visit.cause_text, "correction_text": visit.correction_text, "labour_hours": visit.hours, "parts_cost": parts,
        "labour_cost": labour, "other_cost": other, "total_cost": round(parts + labour + other, 2), "payer": visit.payer,
        "removal_reason": visit.reason, "removed_serial": visit.removed.serial if visit.removed else None,
        "fitted_serial": visit.fitted.serial if visit.fitted else None, "fitted_origin": visit.fitted_origin,
        "fitted_kind": ("whole refrigerator" if visit.whole else "unit") if visit.fitted else None,
    }
