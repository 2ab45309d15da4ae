"""Visits as rows of the shops' files: texts composed, amounts and dates put down; not yet diseased, not yet dressed."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass, field, replace
from typing import Any

from tests.drawn.facts import Visit
from tests.drawn.layout import Layout
from tests.drawn.measured import said
from tests.drawn.wording import Writer, joined

Cells = dict[str, Any]
SURE = ("diagnosed", "found", "needs", "recommend", "condemned", "traces")
"""Beginnings of findings that nobody puts behind 'possibly'."""


@dataclass
class Row:
    """One line of a file. kind: "first", a reason why it repeats an event, "other work" or "furniture". line: the text of a furniture row."""

    shop: str
    sort: dt.date
    kind: str
    cells: Cells
    visit: Visit | None = None
    line: str = ""
    planted: list[str] = field(default_factory=list)
    file: str = ""
    sheet: str = ""
    number: int = 0

    def again(self, kind: str, **changed: Any) -> Row:
        """Another row of the same event."""
        return replace(self, kind=kind, cells=self.cells | changed, planted=[], file="")


def visit_row(dice: random.Random, writer: Writer, layout: Layout, visit: Visit, *, mixed: bool) -> Row:
    """The row of a visit in its shop's file."""
    cells: Cells = _texts(dice, writer, layout, visit, mixed)
    exchange = visit.event in ("condemned", "planned")
    cells |= {
        "document": visit.document, "vehicle_id": visit.vehicle.vehicle_id, "complaint_on": visit.complaint_on, "opened_on": visit.opened_on,
        "date_in": visit.date_in, "date_out": visit.date_out, "reported_on": visit.date_out + dt.timedelta(days=dice.randrange(1, 9)),
        "status": "closed", "payer": visit.payer, "detection": visit.detection, "technician": dice.choice(("tech a", "tech b", "tech c")),
        "removal_reason": visit.reason, "fitted_kind": "unit" if exchange else None, "fitted_origin": visit.origin,
        "removed_serial": visit.removed, "fitted_serial": visit.fitted, "odometer": dice.randrange(5000, 160000),
        "contact": f"hirer {dice.randrange(100, 999)}",
        "labour_hours": visit.tenths, "parts_cost": visit.parts, "labour_cost": visit.labour, "other_cost": visit.other,
    }
    if "other_cost" not in layout.headings and "parts_cost" in layout.headings:
        visit.other = cells["other_cost"] = 0.0
    cells["total_cost"] = visit.total
    return Row(layout.shop, visit.opened_on, "first", cells, visit)


def _texts(dice: random.Random, writer: Writer, layout: Layout, visit: Visit, mixed: bool) -> Cells:
    """What the shop wrote, in the columns that it has."""
    complaint, cause, correction = _complaint(dice, writer, visit), _cause(dice, writer, visit), _correction(dice, writer, visit)
    numbers = joined([said(dice, reading, layout.region, layout.decimal) for reading in visit.readings], ", ")
    cells: Cells = {}
    if mixed:
        cells["item_text"] = dice.choice(("Habitation", "Appliances", "Fridge"))
        complaint = complaint if any(word in complaint for word in ("fridge", "refer", "frig", "kühl")) else f"{writer.say('items', 'FRIDGE')}: {complaint}"
    if "readings_text" in layout.headings:
        cells["readings_text"] = numbers
    else:
        cause = joined([cause, numbers], ", ")
    parts = [layout.cased(writer.hurried(part)) if part else "" for part in (complaint, cause, correction)]
    if layout.style == "three":
        return cells | dict(zip(("complaint_text", "cause_text", "correction_text"), parts, strict=True))
    if layout.style == "two":
        return cells | {"complaint_text": parts[0], "correction_text": joined(parts[1:], "; ")}
    if layout.style == "marks":
        marks = [f"{layout.cased(mark)}{part}" for mark, part in zip(("", "found: ", "did: "), parts, strict=True) if part]
        return cells | {"note": joined(marks, "\n" if layout.breaks else ". ")}
    return cells | {"note": joined(parts, dice.choice((". ", ", ", " - ", "; ")))}


def _complaint(dice: random.Random, writer: Writer, visit: Visit) -> str:
    if visit.event == "planned":
        return writer.say("reasons", str(visit.reason))
    told = writer.say("symptoms", visit.symptom)
    if visit.detection == "inspection" and dice.random() < 0.6:
        return joined([writer.say("found", "inspection"), told], ", ")
    plain = writer.region in ("fr", "de") or dice.random() < 0.6
    return told if plain else f"{writer.say('verbs', 'says')} {told}"


def _cause(dice: random.Random, writer: Writer, visit: Visit) -> str:
    if not visit.finding:
        return ""
    finding = writer.say("findings", visit.finding)
    if visit.event in ("suspicion", "sent on"):
        while finding.startswith(SURE):
            finding = writer.say("findings", visit.finding)
        return writer.say("certainty", "suspected", finding=finding)
    if visit.event == "component" and visit.item not in ("CB_GASKET", "FRIDGE_DOOR") and dice.random() < 0.1:
        return joined([finding, writer.say("certainty", "ruled")], ", ")
    return finding


def _correction(dice: random.Random, writer: Writer, visit: Visit) -> str:
    name = {"FND_VN_FLUE": "ACT_FLUE"}.get(visit.finding, visit.action)
    done = writer.say("actions", name)
    after = writer.say("after", "ok") if visit.event in ("component", "condemned", "planned") else ""
    return joined([done, after], dice.choice((", ", ". ")))
