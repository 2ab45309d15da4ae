"""Where a vehicle, a unit or a visit comes from: the rows of the files behind it, and what was inferred."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

import pandas as pd

from fleetstats import tables
from fleetstats.errors import InputRefused, Problem
from fleetstats.records.fleet import Fleet
from fleetstats.records.plain_tables import record_ids
from fleetstats.records.spelling import normal
from fleetstats.results import Result


@dataclass(frozen=True, kw_only=True)
class Explanation(Result):
    """The rows behind one thing.

    kind: "visit", "vehicle" or "unit". name: its identifier as the store has it. rows: table, record_id, file, sheet, row,
    fate, reason of every row that made its records, rows merged into them or replaced by them included.
    """

    kind: str
    name: str
    rows: pd.DataFrame

    def table(self) -> pd.DataFrame:
        """The rows."""
        return self.rows


def explain(fleet: Fleet, what: str) -> Explanation:
    """The rows behind a visit_id (or the shop's own number of it), a vehicle number or a serial, in any spelling that names one.

    A vehicle's many sightings are left out.

    Raises InputRefused, with the nearest names, when nothing has that name.
    """
    kind, name = _find(fleet, what)
    records = {"visit": _of_visit, "vehicle": _of_vehicle, "unit": _of_unit}[kind](fleet, name)
    wanted = pd.MultiIndex.from_tuples(sorted(records), names=["table", "record_id"])
    lineage = fleet.lineage
    there = pd.MultiIndex.from_frame(lineage[["table", "record_id"]]).isin(wanted)
    rows = lineage[there].sort_values(["table", "record_id", "file", "sheet", "row"], ignore_index=True)
    return Explanation(kind=kind, name=name, rows=rows, inputs=fleet.fingerprint)


def serials_of(fleet: Fleet) -> pd.Series:
    """Every serial of the fleet, once, sorted."""
    columns = [fleet.vehicles["first_cooling_unit_serial"], fleet.visits["removed_serial"], fleet.visits["fitted_serial"], fleet.bench_tests["serial"]]
    return pd.Series(sorted(set(pd.concat(columns).dropna())), dtype="string")


def _find(fleet: Fleet, what: str) -> tuple[str, str]:
    vehicles = pd.concat([fleet.vehicles["vehicle_id"], fleet.visits["vehicle_id"]]).dropna().unique()
    names = {"visit": fleet.visits["visit_id"], "vehicle": vehicles, "unit": serials_of(fleet)}
    for same in (str, normal):
        for kind, known in names.items():
            for name in known:
                if same(name) == same(what):
                    return kind, str(name)
    by_document = fleet.visits.loc[fleet.visits["document"].map(normal, na_action="ignore") == normal(what), "visit_id"]
    if len(by_document) == 1:
        return "visit", str(by_document.iloc[0])
    every = [str(name) for known in names.values() for name in known]
    near = difflib.get_close_matches(what, every, n=3)
    remedy = f"The nearest names are {', '.join(near)}." if near else "Name a visit, a vehicle or a serial as the store has it."
    raise InputRefused(Problem(what="no visit, vehicle or unit has this name", found=what, remedy=remedy))


def _of_visit(fleet: Fleet, name: str) -> set[tuple[str, str]]:
    checks = {("checks", record) for record in record_ids(fleet.checks[fleet.checks["visit_id"] == name], tables.CHECKS)}
    return {("visits", name)} | checks | _keys("bench_tests", fleet.bench_tests, "bench_test_id", "visit_id", name)


def _of_vehicle(fleet: Fleet, name: str) -> set[tuple[str, str]]:
    tests = _keys("bench_tests", fleet.bench_tests, "bench_test_id", "vehicle_id", name)
    posts = {("assignments", record) for record in record_ids(fleet.assignments[fleet.assignments["vehicle_id"] == name], tables.ASSIGNMENTS)}
    return {("vehicles", name)} | posts | _keys("visits", fleet.visits, "visit_id", "vehicle_id", name) | tests


def _of_unit(fleet: Fleet, name: str) -> set[tuple[str, str]]:
    removed, fitted = (_keys("visits", fleet.visits, "visit_id", column, name) for column in ("removed_serial", "fitted_serial"))
    first = _keys("vehicles", fleet.vehicles, "vehicle_id", "first_cooling_unit_serial", name)
    more = {("reconditionings", name), ("unit_moves", name)}
    return removed | fitted | first | more | _keys("bench_tests", fleet.bench_tests, "bench_test_id", "serial", name)


def _keys(table: str, frame: pd.DataFrame, key: str, column: str, name: str) -> set[tuple[str, str]]:
    return {(table, str(found)) for found in frame.loc[(frame[column] == name).fillna(False).astype(bool), key]}
