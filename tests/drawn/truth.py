"""What an honest reader should find in a drawn fleet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from tests.drawn.facts import Vehicle, Visit
from tests.drawn.layout import Layout
from tests.drawn.rows import Row


@dataclass(frozen=True)
class Truth:
    """The truth of a drawn fleet, as tables.

    rows: one per raw row: file, sheet, row, event (number of the visit; missing for none), kind ("first", a reason why it repeats the event, "other work",
    "furniture"), planted (diseases of its cells, separated by ';'), shop.
    events: one per visit, index its number: vehicle, shop, event (its class), symptom, finding, item, action, removed, fitted, origin, reason, total (net),
    tenths (hours of labour) and date_out where the file has such a column and the cell was not spoiled, come_back_of, text (as written in its first row).
    readings: event, check, value, unit (SI), written.
    tenures: vehicle, serial, fitted_by, removed_by (numbers of visits; missing at the ends), known: the serial stands somewhere as it is.
    bench: test, event (the visit that removed the unit), outcome, serial, known: the serial stands in another file, too, or the log names the vehicle.
    """

    rows: pd.DataFrame
    events: pd.DataFrame
    readings: pd.DataFrame
    tenures: pd.DataFrame
    bench: pd.DataFrame


def truth_of(fleet: list[Vehicle], visits: list[Visit], written: list[Row], layouts: Mapping[str, Layout], tests: pd.DataFrame) -> Truth:
    """The tables of the truth from the facts and the rows as they were written."""
    rows = pd.DataFrame([
        {"file": row.file, "sheet": row.sheet, "row": row.number, "event": row.visit.number if row.visit else None, "kind": row.kind,
         "planted": ";".join(row.planted), "shop": row.shop}
        for row in written
    ]).astype({"event": "Int64"})
    firsts = {row.visit.number: row for row in written if row.visit and row.kind == "first"}
    events = pd.DataFrame([_event(visit, firsts[visit.number], layouts) for visit in visits]).set_index("number").astype({"come_back_of": "Int64"})
    readings = pd.DataFrame([
        {"event": visit.number, "check": one.check, "value": one.value, "unit": one.si, "written": f"{one.number} {one.unit}"}
        for visit in visits for one in visit.readings
    ], columns=["event", "check", "value", "unit", "written"])
    readable = _readable(fleet, written, layouts)
    tenures = pd.DataFrame([
        {"vehicle": vehicle.vehicle_id, "serial": serial, "fitted_by": into, "removed_by": out, "known": serial in readable}
        for vehicle in fleet for serial, into, out in vehicle.stays
    ]).astype({"fitted_by": "Int64", "removed_by": "Int64"})
    told = tests.assign(known=tests["serial"].isin(readable) | tests["names_vehicle"].astype(bool))
    return Truth(rows, events, readings, tenures, told)


def _event(visit: Visit, row: Row, layouts: Mapping[str, Layout]) -> dict[str, object]:
    names = ("number", "shop", "event", "symptom", "finding", "item", "action", "removed", "fitted", "origin", "reason", "total", "come_back_of")
    said = " | ".join(str(row.cells[name]) for name in ("item_text", "complaint_text", "cause_text", "correction_text", "note") if row.cells.get(name))
    columns = layouts[visit.shop].headings
    tenths = visit.tenths if "labour_hours" in columns and not {"misread hours", "payer split"} & set(row.planted) else None
    more = {"vehicle": visit.vehicle.vehicle_id, "text": said, "tenths": tenths, "date_out": visit.date_out if "date_out" in columns else None}
    return {name: getattr(visit, name) for name in names} | more


def _readable(fleet: list[Vehicle], written: list[Row], layouts: Mapping[str, Layout]) -> set[str]:
    """Serials that an honest reader can know: written as they are in the register or in the right column of a row, or in a row whose two serials stand
    in each other's place while one of them is known from elsewhere."""
    names = ("removed_serial", "fitted_serial")
    rows = [row for row in written if row.visit and "removed_serial" in layouts[row.shop].headings]
    cells = [(row.cells.get(name), getattr(row.visit, name.removesuffix("_serial"))) for row in rows for name in names]
    right = {str(text) for text, true in cells if text and text == true} | {vehicle.first_serial for vehicle in fleet}
    turned = [{str(row.cells[name]) for name in names} for row in rows if "swapped serials" in row.planted]
    return right.union(*(pair for pair in turned if pair & right))
