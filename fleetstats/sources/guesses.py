"""Guesses for a draft: which table a file fills, which column a heading means, what its words mean."""

from __future__ import annotations

import difflib
import re
from functools import lru_cache

from fleetstats.sources.foreign_headings import FRENCH, GERMAN, WORDS
from fleetstats.sources.profile import HELPER_COLUMNS, TEXT_TABLES
from fleetstats.tables import INPUT_TABLES
from fleetstats.vocabulary.words import plain

MONEY_WORDS = re.compile(r"(?: \(?(?:eur|chf|usd|gbp|cad|aud|nzd|€|\$|£|netto|brutto|net|gross|ht|ttc|(?:inkl|exkl|inc|ex) (?:mwst|vat|gst))\)?)+$")
LIKE, SURE = 0.6, 0.85
"""Likeness from which a heading is a candidate for a column, and from which it is taken for it."""

HEADINGS: dict[str, tuple[str, ...]] = {
    "document": (
                 "job #", "job number", "wo #", "work order", "invoice #", "docket", "order", "order no", "ro", "ro #", "ro no", "wo", "job", "job no",
                 "ticket", "ticket no", "invoice", "invoice no", "inv", "inv no",
                 "no facture", "facture", "bon"),
    "vehicle_id": ("unit", "unit #", "vehicle no", "unit no", "van no",
                   "fleet no", "vehicle", "van", "coach", "rig", "reg", "vehicule", "no unite", "from unit #"),
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
                 "serial out", "unit serial out",
                 "ser out", "serial off", "unit no out", "unit out", "cu out s/n", "serie retiree"),
    "fitted_serial": ("new cu s/n", "new cu serial", "new s/n", "fitted s/n", "cu fitted s/n", "s/n in", "s/n fitted", "new ser", "new serial",
                 "serial in", "unit serial in", "ser in",
                 "serial on", "unit no in", "unit in", "cu in s/n", "serie posee"),
    "serial": ("serial", "serial no", "s/n", "unit at survey"),
    "received_on": ("recd", "date recd", "date received", "rcvd", "received",), "received_from": ("received from", "recd from", "from", "sender"),
                 "tested_on": ("date tested", "test date", "tested",), "outcome": ("result", "verdict"), "hours": ("run hrs",),
    "in_service": ("first hire", "in service"), "out_of_service": ("left", "sold"), "built": ("built", "made"), "acquired": ("bought",),
    "depot": ("depot", "site"), "refrigerator_size_l": ("fridge litres", "litres", "liters"), "size_l": ("litres", "liters", "volume", "capacity"),
    "bench_test_id": ("bench no", "test no", "bench #"), "sender_symptom": ("claim", "claimed fault"), "sender_item": ("claimed item",),
    "why_tested": ("why", "why tested"), "first_origin": ("unit kind",), "first_cooling_unit_serial": ("unit at survey",),
    "first_unit_made": ("unit new or recon on",),
    "climate_zone": ("climate",), "planned_exit": ("planned sale",), "exit_value": ("sale value",),
}
"""Canonical column -> headings that usually mean it (common practice, no source)."""


SAME_WORDS: dict[str, dict[str, tuple[str, ...]]] = {
    "payer": {"fleet": ("flt", "fleet acct", "flotte", "internal", "house", "own"), "warranty": ("warr", "wty", "mfr warr", "garantie", "maker"),
              "renter": ("hirer", "customer", "locataire", "client", "mieter", "guest"), "insurer": ("ins", "insurance", "assurance", "versicherung")},
    "status": {"open": ("ouvert", "offen", "wip", "in progress"), "closed": ("fermé", "ferme", "geschlossen", "done", "complete", "completed", "invoiced")},
    "detection": {"in use": ("hire", "on hire", "in hire", "rental"), "inspection": ("pre-season", "spring", "return"),
                  "periodic": ("pm", "hab check")},
    "removal_reason": {"fault of the unit": ("fault", "faulty", "failed", "unité défectueuse", "bad"), "age policy": ("age", "âge"), "recall": ("rappel",),
                       "request": ("req", "asked for", "demande"), "upgrade": ("upgr", "amélioration"), "other": ("autre", "misc")},
    "fitted_kind": {"unit": ("cu", "cooling unit", "unité"), "whole refrigerator": ("refer", "fridge", "frigo", "refrigerator")},
    "fitted_origin": {"new": ("neuve", "neuf", "neu"), "reconditioned": ("recon", "rebuilt", "reconditionnée", "reman"),
                      "used, tested healthy": ("used", "used, tested", "tested used", "usagée, testée"), "own unit put back": ("own back", "own, put back"),
                      "own unit reconditioned": ("own recon", "own, recon"), "unknown": ("not known", "inconnue", "??")},
    "outcome": {"fault confirmed": ("bad", "faulty", "failed", "confirmed"), "no fault found": ("runs ok", "nff", "ok", "good"),
                "restarted": ("ran after turning", "ran after turning over"), "inconclusive": ("unclear", "not clear")},
    "why_tested": {"all": ("every core", "every"), "doubt": ("in doubt",), "sender asked": ("asked",)},
}
"""Canonical column -> its words -> what shops usually write for them (common practice, no source)."""
SAME_WORDS["first_origin"] = SAME_WORDS["fitted_origin"]


def guess_word(column: str, text: str) -> str | None:
    """The word of ours that a shop's word most likely means; None where it is not known."""
    return _words_meant(column).get(_plain(text))


@lru_cache(maxsize=16)
def _words_meant(column: str) -> dict[str, str]:
    every = (SAME_WORDS.get(column, {}), WORDS.get("fitted_origin" if column == "first_origin" else column, {}))
    return {_plain(word): ours for meant in every for ours, words in meant.items() for word in (ours, *words)}


def likenesses(heading: str, table: str) -> dict[str, float]:
    """How like a heading is to what each column of a table is usually called, from 0 to 1; only those from 0.6 on, the likest first.

    A currency and a word of tax at its end ('Gesamt EUR netto') say nothing of the column.
    """
    names = {name := _plain(heading), MONEY_WORDS.sub("", name) or name}
    scores: dict[str, float] = {}
    for words, column in _meant(table).items():
        score = max(difflib.SequenceMatcher(None, words, name).ratio() for name in names)
        if score >= LIKE:
            scores[column] = max(score, scores.get(column, 0.0))
    return dict(sorted(scores.items(), key=lambda item: -item[1]))


def guess_column(heading: str, table: str) -> str | None:
    """The column of a table that a heading most likely means; None where nothing is near."""
    column, score = next(iter(likenesses(heading, table).items()), (None, 0.0))
    return column if score >= SURE else None


def _plain(heading: str) -> str:
    return " ".join(plain(heading).replace(".", " ").split())


@lru_cache(maxsize=16)
def _meant(table: str) -> dict[str, str]:
    """What columns of a table are usually called -> the column."""
    known = [*INPUT_TABLES[table].columns, *(HELPER_COLUMNS if table in TEXT_TABLES else ())]
    meant = {_plain(words): column for headings in (GERMAN, FRENCH, HEADINGS) for column, usual in headings.items() if column in known for words in usual}
    return meant | {column.replace("_", " "): column for column in known}


def guess_table(headings: list[str]) -> str:
    """The table that most headings fit; visits where nothing tells."""
    def hits(table: str) -> int:
        return len({guess for heading in headings if (guess := guess_column(heading, table))})
    return max(("visits", "bench_tests", "vehicles", *INPUT_TABLES), key=hits)
