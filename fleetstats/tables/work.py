"""Visits to a shop, the checks done there, and the decisions taken."""

from fleetstats.tables.column import Column, Table
from fleetstats.tables.fleet import ORIGINS

DETECTIONS = ("in use", "inspection", "periodic")
PAYERS = ("fleet", "warranty", "renter", "insurer")
REMOVAL_REASONS = ("fault of the unit", "age policy", "recall", "request", "upgrade", "other")

VISITS = Table(name="visits", meaning="one row per shop visit about the refrigerator", key=("visit_id",), columns={
    "visit_id": Column(kind="string", meaning="identifier made from shop and order number, or from file and row", nullable=False),
    "document": Column(kind="string", meaning="order or invoice number as the shop wrote it"),
    "shop": Column(kind="string", meaning="shop"),
    "technician": Column(kind="string", meaning="keyed pseudonym of the technician"),
    "vehicle_id": Column(kind="string", meaning="vehicle"),
    "complaint_on": Column(kind="date", meaning="day the fault was first complained of"),
    "opened_on": Column(kind="date", meaning="day the order was opened"),
    "date_in": Column(kind="date", meaning="day the vehicle came in"),
    "date_out": Column(kind="date", meaning="day the vehicle was released"),
    "status": Column(kind="string", meaning="state of the order", values=("open", "closed")),
    "detection": Column(kind="string", meaning="how the fault was met", values=DETECTIONS),
    "symptom": Column(kind="string", meaning="complaint code, see the vocabulary"),
    "called_item": Column(kind="string", meaning="item the shop said was at fault"),
    "called_mode": Column(kind="string", meaning="finding or mode the shop named"),
    "certainty": Column(kind="string", meaning="how sure the text is of it", values=("stated", "inferred", "suspected", "ruled out")),
    "action": Column(kind="string", meaning="action code, see the vocabulary"),
    "removal_reason": Column(kind="string", meaning="why a unit was removed; missing: none was", values=REMOVAL_REASONS),
    "removed_serial": Column(kind="string", meaning="serial of the unit taken out"),
    "fitted_kind": Column(kind="string", meaning="what was fitted", values=("unit", "whole refrigerator")),
    "fitted_serial": Column(kind="string", meaning="serial of the unit fitted"),
    "fitted_origin": Column(kind="string", meaning="origin of the unit fitted", values=ORIGINS),
    "parts_cost": Column(kind="float", meaning="parts, cores credited", unit="money of price_basis"),
    "labour_hours": Column(kind="float", meaning="labour booked", unit="hours", low=0),
    "labour_cost": Column(kind="float", meaning="labour", unit="money of price_basis"),
    "other_cost": Column(kind="float", meaning="freight, sublet, sundries", unit="money of price_basis"),
    "total_cost": Column(kind="float", meaning="all of it", unit="money of price_basis"),
    "price_basis": Column(kind="string", meaning='currency, month and tax of the money in this row, e.g. "EUR 2026-01 net"'),
    "payer": Column(kind="string", meaning="who paid; several: see payments", values=(*PAYERS, "several")),
    "days_out_of_service": Column(kind="float", meaning="days the vehicle could not be hired out", unit="days", low=0),
    "reported_on": Column(kind="date", meaning="day the row became known"),
    "note": Column(kind="string", meaning="free text, personal data masked"),
    "symptom_words": Column(kind="string", meaning="words of the text that gave the complaint, personal data masked"),
    "called_words": Column(kind="string", meaning="words that gave the item and finding"),
    "action_words": Column(kind="string", meaning="words that gave the action"),
})

PAYMENTS = Table(name="payments", meaning="one row per payer of a visit that several paid: the share of each", key=(), columns={
    "visit_id": Column(kind="string", meaning="visit", nullable=False),
    "payer": Column(kind="string", meaning="who paid this share; missing: the bill does not say", values=PAYERS),
    "parts_cost": Column(kind="float", meaning="parts", unit="money of price_basis"),
    "labour_cost": Column(kind="float", meaning="labour", unit="money of price_basis"),
    "other_cost": Column(kind="float", meaning="freight, sublet, sundries", unit="money of price_basis"),
    "total_cost": Column(kind="float", meaning="all of it; the shares add up to the visit's total", unit="money of price_basis"),
    "price_basis": Column(kind="string", meaning="currency, month and tax of the money in this row"),
})

CHECKS = Table(name="checks", meaning="one row per check done at a visit", key=("visit_id", "check"), columns={
    "visit_id": Column(kind="string", meaning="visit", nullable=False),
    "check": Column(kind="string", meaning="check code C01 to C21, see the vocabulary", nullable=False),
    "outcome": Column(kind="string", meaning="what it said", values=("pass", "fail", "done")),
    "value": Column(kind="float", meaning="the reading, in unit"),
    "unit": Column(kind="string", meaning="SI unit of the reading (Pa, ohm, W, V, degC)"),
    "ambient": Column(kind="float", meaning="ambient temperature", unit="degC"),
    "elapsed_hours": Column(kind="float", meaning="time since heat was switched on", unit="hours", low=0),
})

CASES = Table(name="cases", meaning="decisions taken, to be held against what happened later", key=("case_id",), columns={
    "case_id": Column(kind="string", meaning="name of the case", nullable=False),
    "visit_id": Column(kind="string", meaning="visit it was about"),
    "decided_on": Column(kind="date", meaning="day"),
    "probability": Column(kind="float", meaning="probability of a true fault then printed", unit="share", low=0, high=1),
    "gate": Column(kind="string", meaning="state of the safety gate", values=("closed", "clear", "not checked")),
    "recommended": Column(kind="string", meaning="option recommended"),
    "chosen": Column(kind="string", meaning="option taken"),
})
