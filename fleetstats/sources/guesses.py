"""Guesses for a draft: which table a file fills, and which column a heading means."""

from __future__ import annotations

import difflib

from fleetstats.sources.profile import HELPER_COLUMNS, TEXT_TABLES
from fleetstats.tables import INPUT_TABLES
from fleetstats.vocabulary.words import plain

HEADINGS: dict[str, tuple[str, ...]] = {
    "document": (
                 "job #", "job number", "wo #", "work order", "invoice #", "docket", "order", "order no", "ro", "ro #", "ro no", "wo", "job", "job no",
                 "ticket", "ticket no", "invoice", "invoice no", "inv", "inv no",
                 "no facture", "facture", "bon"),
    "vehicle_id": ("unit", "unit #", "fleet no", "vehicle", "van", "coach", "rig", "reg", "vehicule", "no unite", "from unit #"),
    "date_in": ("date received", "date recd", "recd", "booked in", "in", "date in", "arrived", "entree", "on site"),
    "date_out": ("out", "date out", "closed", "done", "released", "sortie", "completed"),
    "opened_on": ("opened", "open", "booked", "ouvert", "ouvert le", "order date"),
    "complaint_on": ("reported", "call date", "complaint date"),
    "reported_on": ("logged", "sent on", "entered"),
    "status": ("status", "state", "etat"),
    "complaint_text": ("complaint", "problem", "concern", "customer says", "fault reported", "plainte", "job description"),
    "cause_text": ("cause", "found", "we found", "fault found", "diagnosis"),
    "correction_text": ("repair", "work", "action taken", "correction", "work done", "we did", "work carried out", "notes", "travaux"),
    "item_text": ("group", "job group", "system"),
    "technician": ("tech", "technician", "by", "who", "mechanic", "fitter", "technicien"),
    "detection": ("how found", "found at"),
    "removal_reason": ("why removed", "reason removed", "cu why out", "why out", "raison du retrait"), "fitted_kind": ("fitted", "pose"),
    "fitted_origin": ("unit type", "unit source", "type", "origine", "origin"),
    "contact": ("phone / mail", "phone", "renter", "client", "customer", "contact", "hirer"),
    "labour_hours": ("hrs", "hours", "time", "labour hours", "heures", "mins", "minutes"),
    "parts_cost": ("parts", "pieces", "parts inc vat"),
    "labour_cost": ("labor", "labour", "main-d'oeuvre", "labour inc vat"),
    "other_cost": ("sublet", "freight", "misc", "other", "autres"),
    "total_cost": ("total cost", "cost", "price", "total", "amount", "charge", "total inc vat", "total inc gst"),
    "payer": ("pay", "payer", "paid by", "bill to", "bill", "account", "payeur"),
    "removed_serial": ("old cu s/n", "old cu serial", "old s/n", "removed s/n", "cu removed s/n", "s/n out", "s/n removed", "old ser", "old serial",
                 "ser out", "serial off", "unit no out", "unit out", "cu out s/n", "serie retiree"),
    "fitted_serial": ("new cu s/n", "new cu serial", "new s/n", "fitted s/n", "cu fitted s/n", "s/n in", "s/n fitted", "new ser", "new serial", "ser in",
                 "serial on", "unit no in", "unit in", "cu in s/n", "serie posee"),
    "serial": ("serial", "serial no", "s/n", "unit at survey"),
    "received_on": ("recd", "date recd", "date received", "rcvd", "received",), "received_from": ("received from", "recd from", "from", "sender"),
                 "tested_on": ("date tested", "test date", "tested",), "outcome": ("result", "verdict"), "hours": ("run hrs",),
    "in_service": ("first hire", "in service"), "out_of_service": ("left", "sold"), "built": ("built", "made"), "acquired": ("bought",),
    "depot": ("depot", "site"), "refrigerator_size_l": ("fridge litres", "litres", "liters"),
}
"""Canonical column -> headings that usually mean it (common practice, no source)."""


def guess_column(heading: str, table: str) -> str | None:
    """The column of a table that a heading most likely means; None where nothing is near."""
    known = [*INPUT_TABLES[table].columns, *(HELPER_COLUMNS if table in TEXT_TABLES else ())]
    name = " ".join(plain(heading).replace(".", " ").split())
    meant = {words: column for column, headings in HEADINGS.items() if column in known for words in headings}
    meant |= {column.replace("_", " "): column for column in known}
    near = difflib.get_close_matches(name, list(meant), n=1, cutoff=0.85)
    return meant[near[0]] if near else None


def guess_table(headings: list[str]) -> str:
    """The table that most headings fit; visits where nothing tells."""
    def hits(table: str) -> int:
        return len({guess for heading in headings if (guess := guess_column(heading, table))})
    return max(("visits", "bench_tests", "vehicles", *INPUT_TABLES), key=hits)
