"""The lines of a shop that keeps our own column names and codes."""

from __future__ import annotations

from fleetstats.synthetic.codes import ACTIONS, FINDINGS
from fleetstats.synthetic.rows import Row, Value
from fleetstats.synthetic.things import Visit

VISIT_COLUMNS = (
    "document", "shop", "technician", "vehicle_id", "complaint_on", "opened_on", "date_in", "date_out", "status", "detection", "symptom", "called_item",
    "called_mode", "certainty", "action", "removal_reason", "removed_serial", "fitted_kind", "fitted_serial", "fitted_origin", "parts_cost",
    "labour_hours", "labour_cost",
    "other_cost", "total_cost", "price_basis", "payer", "days_out_of_service", "reported_on", "note",
)


def code(row: Row) -> None:
    """Add codes, price basis, days out of service and the note to the values of a visit's line."""
    visit = row.visit
    assert visit is not None
    row.values["note"] = "; ".join(text for text in (str(row.values.get(name) or "") for name in ("complaint_text", "cause_text", "correction_text")) if text)
    if row.values["status"] == "closed":
        row.values |= {**_verdict(visit), "price_basis": f"{visit.shop.currency} {row.values['date_out']:%Y-%m} net"}
        row.values["days_out_of_service"] = float(visit.date_out - visit.date_in)


def _verdict(visit: Visit) -> dict[str, Value]:
    if visit.kind == "swapped":
        action = "ACT_FRIDGE_REPL" if visit.whole else ACTIONS.get(visit.fitted_origin or "unknown", "ACT_CU_SWAP")
        if visit.cause == "body":
            return {"called_item": "FRIDGE", "called_mode": "FND_FR_LINER", "certainty": "stated", "action": action}
        mode = {"leak": "FND_CU_LEAK", "weak": "FND_CU_WEAK"}.get(visit.group, "FND_CU_BAD")
        return {"called_item": "CU", "called_mode": mode, "certainty": "stated", "action": action} if visit.condemned else {"action": action}
    if visit.suspect:
        return {"called_item": "CU", "called_mode": "FND_CU_BAD", "certainty": "suspected", "action": "ACT_NONE"}
    if visit.kind == "repaired":
        item = visit.item if visit.item != "CU_FIT" else None
        return {"called_item": item, "called_mode": FINDINGS.get(visit.item), "certainty": "stated", "action": ACTIONS[visit.item]}
    return {"action": {"sent on": "ACT_SENT_ON", "missed": "ACT_RESET"}.get(visit.kind, "ACT_INSPECT")}
