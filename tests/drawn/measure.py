"""A drawn fleet's records against its truth: each thing measured by itself, with the misses."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.histories import build_histories
from fleetstats.records import Fleet
from fleetstats.records.spelling import normal
from tests.drawn.diseases import EXTRA
from tests.drawn.facts import REPAIRS
from tests.drawn.truth import Truth

NOTHING = ("FND_NFF", "FND_OP_LEVEL", "FND_OP_LOAD", "FND_OP_TIME", "FND_OP_USE")
NO_WORK = ("ACT_NONE", "ACT_OP_ADVISE", "ACT_OP_LEVEL", "ACT_RUNTEST", "ACT_INSPECT", "ACT_DIAGNOSE")
CLASSES = ("condemned", "planned", "component", "nothing found")
FATES = ["accepted", "merged", "superseded", "set_aside", "rejected", "furniture"]
ADJUSTED = ("ACT_LP_REGADJ", "ACT_CT_SENSADJ", "ACT_CB_GASKETADJ", "ACT_CT_CUTOUT_RESET", "ACT_FN_ADD", "ACT_CU_CONTACT")


@dataclass
class Measured:
    """counts: name -> (right, of); misses: name -> one row per miss with what was wanted, found and written."""

    counts: dict[str, tuple[int, int]] = field(default_factory=dict)
    misses: dict[str, pd.DataFrame] = field(default_factory=dict)

    def share(self, name: str) -> float:
        """Right of all; one where there was nothing to find."""
        right, of = self.counts[name]
        return right / of if of else 1.0


class Read:
    """What became of the rows of a fleet."""

    def __init__(self, truth: Truth, fleet: Fleet) -> None:
        told = fleet.lineage.assign(sheet=fleet.lineage["sheet"].fillna("").astype(str))[["file", "sheet", "row", "record_id", "fate"]]
        rows = truth.rows.copy()
        rows["sheet"] = rows["sheet"].where(rows["sheet"].isin(told["sheet"]), "")
        self.rows = rows.merge(told.astype({"file": str, "row": int}), on=["file", "sheet", "row"], how="left")
        self.visit_rows = self.rows[self.rows["event"].notna()]
        first = self.visit_rows[self.visit_rows["kind"] == "first"].drop_duplicates("event").set_index("event")["record_id"]
        self.record_of = first.dropna()
        self.visits = fleet.visits.set_index("visit_id")
        found = self.visits.reindex(self.record_of.to_numpy()).set_axis(self.record_of.index)
        self.events = truth.events.join(found, rsuffix="_found", how="left")


def measure(truth: Truth, fleet: Fleet) -> Measured:
    """All figures of a drawn fleet. What each one counts stands in the docstring of its function."""
    read, out = Read(truth, fleet), Measured()
    _account(out, read, fleet)
    _events(out, read)
    _codes(out, read)
    _said(out, read)
    _tenures(out, read, truth, fleet)
    _duplicates(out, read, truth)
    _readings(out, read, truth, fleet)
    _others(out, read)
    _cells(out, read)
    return out


def _put(out: Measured, name: str, right: pd.Series | np.ndarray | list[bool], rows: pd.DataFrame) -> None:
    good = np.asarray(right, dtype=bool)
    out.counts[name] = (int(good.sum()), len(good))
    out.misses[name] = rows[~good]


def _account(out: Measured, read: Read, fleet: Fleet) -> None:
    """Files whose rows are the sum of the six fates, and raw rows that have exactly one fate."""
    files = fleet.files
    _put(out, "account: files", files[FATES].sum(axis=1) == files["rows_read"], files)
    _put(out, "account: rows", read.rows["fate"].notna() & ~read.rows.duplicated(["file", "sheet", "row"]), read.rows)


def found_class(visits: pd.DataFrame) -> pd.Series:
    """What a record says happened: a unit condemned (reason: fault of the unit), a planned exchange (another reason), a component repaired (an action
    that repairs one), nothing found (a finding or an action that says so), or nothing said ("")."""
    reason, action, mode = (visits[name].astype("string").fillna("") for name in ("removal_reason", "action", "called_mode"))
    said = pd.Series("", index=visits.index, dtype="string")
    said = said.mask(mode.isin(NOTHING) | action.isin(NO_WORK), "nothing found")
    said = said.mask(action.isin((*REPAIRS, *ADJUSTED)), "component")
    said = said.mask((reason != "") & (reason != "fault of the unit"), "planned")
    return said.mask(reason == "fault of the unit", "condemned")


def _events(out: Measured, read: Read) -> None:
    """Recall: of the true events that condemned or exchanged a unit, repaired a component or found nothing, those recognised as such. Precision: of the
    records that say so, those that are true. A suspicion or a vehicle sent on is no event: to call it a removal or a repair is wrong."""
    events = read.events.assign(said=found_class(read.events))
    suspicion = (events["event"] == "suspicion") & (events["said"] == "nothing found")
    true, claimed = events[events["event"].isin(CLASSES)], events[events["said"].isin(CLASSES) & ~suspicion]
    columns = ["event", "said", "finding", "called_mode", "action", "action_found", "certainty", "shop", "text"]
    _put(out, "events: recall", true["event"] == true["said"], true[columns])
    _put(out, "events: precision", claimed["event"] == claimed["said"], claimed[columns])


def _codes(out: Measured, read: Read) -> None:
    """Item, finding, action and symptom: of the events that have one, those whose record bears the same code."""
    for name, column in {"item": "called_item", "finding": "called_mode", "action": "action_found", "symptom": "symptom_found"}.items():
        events = read.events[(read.events[name] != "") & read.events["event"].isin((*CLASSES, "sent on", "suspicion"))]
        wanted, found = events[name].astype("string"), events[column].astype("string").fillna("")
        _put(out, f"code: {name}", wanted == found, pd.DataFrame({"wanted": wanted, "found": found, "text": events["text"]}))


def _said(out: Measured, read: Read) -> None:
    """Certainty: suspicions and vehicles sent on whose finding is kept as suspected, and findings of the others that are not kept as suspected or ruled
    out, among the records that have one. Origin: of the exchanges that name the origin of what was fitted, those kept with it."""
    events = read.events[read.events["certainty"].notna() & (read.events["finding"] != "")]
    doubtful = events["event"].isin(["suspicion", "sent on"])
    kept = events["certainty"].isin(["suspected"]) == doubtful
    _put(out, "certainty", kept & ~events["certainty"].isin(["ruled out"]), events[["event", "finding", "called_mode", "certainty", "text"]])
    named = read.events[read.events["origin"].isin(["new", "reconditioned", "used, tested healthy"])]
    right = (named["origin"] == named["fitted_origin"]).fillna(False)
    _put(out, "origin of the unit fitted", right, named[["origin", "fitted_origin", "shop", "text"]])


def _tenures(out: Measured, read: Read, truth: Truth, fleet: Fleet) -> None:
    """Of the true tenures whose serial stands somewhere as it is: those with the right vehicle and serial, fitted and removed by the right records."""
    found = build_histories(fleet).tenures
    texts = found[["vehicle_id", "serial", "installed_by", "ended_by"]].astype("string").fillna("")
    have = set(zip(texts["vehicle_id"], texts["serial"].map(normal), texts["installed_by"], texts["ended_by"], strict=True))
    known = truth.tenures[truth.tenures["known"]]
    ends = [known[name].map(read.record_of).astype("string").fillna("") for name in ("fitted_by", "removed_by")]
    keys = list(zip(known["vehicle"], known["serial"].map(normal), *ends, strict=True))
    planted = read.visit_rows.groupby("event")["planted"].agg(";".join)
    marks = known["fitted_by"].map(planted).fillna("") + " / " + known["removed_by"].map(planted).fillna("")
    told = texts["serial"] + " " + texts["installed_by"] + " > " + texts["ended_by"]
    by_vehicle = told.groupby(texts["vehicle_id"]).agg("; ".join)
    right = np.array([key in have for key in keys], dtype=bool)
    _bench(out, read, truth, found)
    _put(out, "chains", right, known.assign(keys=[" ".join(key) for key in keys], planted=marks, found=known["vehicle"].map(by_vehicle)))


def _bench(out: Measured, read: Read, truth: Truth, tenures: pd.DataFrame) -> None:
    """Of the bench tests that can be known: those joined to the tenure that ended at the visit that removed the unit, with their verdict."""
    tested = tenures[tenures["bench_test_id"].notna()]
    numbers = tested["bench_test_id"].astype(str).str.split(":").str[-1]
    have = set(zip(tested["ended_by"].astype(str), numbers, tested["bench_outcome"].astype(str), strict=True))
    known = truth.bench[truth.bench["known"]]
    wanted = known.assign(record=known["event"].map(read.record_of).astype(str))
    _put(out, "bench tests joined", [key in have for key in zip(wanted["record"], wanted["test"], wanted["outcome"], strict=True)], wanted)


def _duplicates(out: Measured, read: Read, truth: Truth) -> None:
    """Recall: of the rows that repeat an event, those that share the record of its first row. Precision: of the rows merged, those whose record holds
    rows of one event only. Come-backs: those that have a record of their own."""
    rows = read.visit_rows.assign(own=read.visit_rows["event"].map(read.record_of))
    more = rows[rows["kind"].isin(EXTRA)]
    for kind in EXTRA:
        part = more[more["kind"] == kind]
        _put(out, f"duplicates: {kind}", (part["record_id"] == part["own"]).fillna(False), part)
    _put(out, "duplicates: recall", (more["record_id"] == more["own"]).fillna(False), more)
    events_of = rows.groupby("record_id")["event"].nunique()
    merged = rows[rows["fate"] == "merged"]
    _put(out, "duplicates: precision", merged["record_id"].map(events_of) == 1, merged)
    backs = truth.events[truth.events["come_back_of"].notna()]
    record = backs.index.to_series().map(read.record_of)
    kept = record.notna() & (record.map(events_of) == 1)
    _put(out, "come-backs kept", kept, backs.assign(record=record))


def _readings(out: Measured, read: Read, truth: Truth, fleet: Fleet) -> None:
    """Recall: of the numbers written, those that stand in `checks` under the right check and unit, to half a per cent; precision the other way round."""
    wanted = truth.readings.assign(record=truth.readings["event"].map(read.record_of), text=truth.readings["event"].map(truth.events["text"]))
    checks = fleet.checks[fleet.checks["value"].notna() & fleet.checks["visit_id"].isin(read.record_of)]
    found = checks.rename(columns={"visit_id": "record"})[["record", "check", "value", "unit"]].astype({"record": str, "check": str, "unit": str})
    both = wanted.reset_index().merge(found, on=["record", "check", "unit"], suffixes=("", "_found"))
    near = both[(both["value"] - both["value_found"]).abs() <= 0.005 * both["value"].abs() + 0.01 * (both["unit"] == "degC")]
    _put(out, "readings: recall", wanted.index.isin(near["index"]), wanted)
    keys = ["record", "check"]
    good = pd.MultiIndex.from_frame(found[keys]).isin(pd.MultiIndex.from_frame(near[keys]))
    told = dict(zip(read.record_of, read.record_of.index.map(truth.events["text"]), strict=True))
    _put(out, "readings: precision", good, found.assign(text=found["record"].map(told)))


def _others(out: Measured, read: Read) -> None:
    """Furniture taken as such, other work set aside, rows about the refrigerator not set aside or refused."""
    rows = read.rows
    furniture, other = rows[rows["kind"] == "furniture"], rows[rows["kind"] == "other work"]
    _put(out, "furniture", furniture["fate"] == "furniture", furniture)
    _put(out, "other work set aside", other["fate"] == "set aside", other)
    mine = read.visit_rows.assign(text=read.visit_rows["event"].map(read.events["text"]))
    _put(out, "rows about the refrigerator kept", mine["fate"].isin(["accepted", "merged", "superseded"]), mine)


def _cells(out: Measured, read: Read) -> None:
    """Records with the net total of their event (splits added up, copies and estimates not), its hours of labour, its day of release, its vehicle."""
    events = read.events[read.events["total_cost"].notna()]
    off = (events["total_cost"].astype(float) - events["total"]).abs()
    _put(out, "totals", off <= 0.02 + 0.0005 * events["total"].abs(), events[["total", "total_cost", "shop"]])
    events = read.events[read.events["tenths"].notna()]
    near = (events["labour_hours"].astype(float) - events["tenths"].astype(float) / 10).abs() < 0.01
    _put(out, "hours", near, events[["tenths", "labour_hours", "shop"]])
    events = read.events[read.events["date_out"].notna()]
    _put(out, "days of release", (pd.to_datetime(events["date_out"]) == events["date_out_found"]).fillna(False), events[["date_out", "date_out_found", "shop"]])
    _put(out, "vehicles", (read.events["vehicle"] == read.events["vehicle_id"]).fillna(False), read.events[["vehicle", "vehicle_id", "shop"]])
