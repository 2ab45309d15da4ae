"""Following a name back: the story of a vehicle, a unit or a visit with file and row, and what stands behind a headline number."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any

import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.figures.words import years
from fleetstats.histories import Histories
from fleetstats.records import Fleet
from fleetstats.report.meaning import meaning
from fleetstats.report.numbers import NUMBERS, number_story

MENTIONED = ("symptom", "called_item", "called_mode", "action")


def story(fleet: Fleet, histories: Histories, name: str) -> list[str]:
    """Lines that tell where `name` comes from: a vehicle_id, a serial, a visit_id, or one of the numbers in `NUMBERS`.

    Raises InputRefused, with the nearest known name, when it is none of these.
    """
    if name in NUMBERS:
        return number_story(fleet, histories, name)
    if fleet.visits["visit_id"].eq(name).any():
        return _visit(fleet, name)
    tenures = histories.tenures
    if fleet.vehicles["vehicle_id"].eq(name).any() or tenures["vehicle_id"].eq(name).any():
        return [f"Vehicle {name}", *_sources(fleet, "vehicles", name), *_tenures(fleet, tenures[tenures["vehicle_id"].eq(name)])]
    if tenures["serial"].eq(name).fillna(False).any() or fleet.bench_tests["serial"].eq(name).fillna(False).any():
        return [f"Cooling unit {name}", *_tenures(fleet, tenures[tenures["serial"].eq(name).fillna(False).astype(bool)]), *_bench(fleet, name)]
    known = [*NUMBERS, *fleet.vehicles["vehicle_id"], *tenures["serial"].dropna(), *fleet.visits["visit_id"]]
    near = difflib.get_close_matches(name, known, n=3, cutoff=0.5)
    remedy = f"Near it: {', '.join(near)}." if near else f"Name a vehicle, a serial, a visit, or one of {', '.join(NUMBERS)}."
    raise InputRefused(Problem(what="no vehicle, unit, visit or number of this name", found=name, remedy=remedy))


def _visit(fleet: Fleet, name: str) -> list[str]:
    visit = fleet.visits[fleet.visits["visit_id"].eq(name)].iloc[0]
    lines = [f"Visit {name}: {_event(visit)}"]
    lines += [f"  {column.replace('_', ' ')}: {meaning(str(visit[column]))}" for column in MENTIONED if pd.notna(visit[column])]
    for column in ("removed_serial", "fitted_serial", "fitted_origin", "removal_reason"):
        if pd.notna(visit[column]):
            lines.append(f"  {column.replace('_', ' ')}: {visit[column]}")
    if pd.notna(visit["total_cost"]):
        lines.append(f"  total cost: {visit['total_cost']:,.2f}, stated in {visit['price_basis']}")
    checks = fleet.checks[fleet.checks["visit_id"].eq(name)]
    lines += [f"  check {row['check']} ({meaning(str(row['check']))}): {row['outcome']}" for row in checks.to_dict("records")]
    return [*lines, *_sources(fleet, "visits", name)]


def _event(visit: pd.Series) -> str:
    named = (("opened_on", "opened"), ("date_in", "in"), ("date_out", "out"))
    days = ", ".join(f"{word} {_day(visit[column])}" for column, word in named if pd.notna(visit[column]))
    return f"vehicle {_or(visit['vehicle_id'])} at {_or(visit['shop'])}, {days or 'no date'}"


def _tenures(fleet: Fleet, tenures: pd.DataFrame) -> list[str]:
    lines: list[str] = []
    for tenure in tenures.sort_values(["installed", "vehicle_id"]).to_dict("records"):
        unit = f"unit {tenure['serial']}" if pd.notna(tenure["serial"]) else "a unit without known serial"
        age = f" at age {years(tenure['unit_age_at_installed_years'])}" if tenure["unit_age_at_installed_years"] > 0 else ""
        lines.append(f"{_day(tenure['installed'])}  {unit} ({tenure['origin']}) fitted to {tenure['vehicle_id']}{age}")
        lines += _sources(fleet, "visits", tenure["installed_by"])
        lines += _ending(tenure)
        lines += _sources(fleet, "visits", tenure["ended_by"])
        if pd.notna(tenure["serial_basis"]) and tenure["serial_basis"] != "read":
            lines.append(f"            doubt: the serial is known {tenure['serial_basis']}")
        if pd.notna(tenure["faults"]) and tenure["faults"]:
            lines.append(f"            doubt: {tenure['faults']}")
    return lines or ["  no stay in a vehicle is known"]


def _ending(tenure: dict[Any, Any]) -> list[str]:
    at = years(tenure["ended_years"])
    lines = [f"{_day(tenure['ended'])}  {tenure['ending']} at age {at}" + (f", by {tenure['shop']}" if pd.notna(tenure["shop"]) else "")]
    if pd.notna(tenure["symptom"]):
        lines[0] += f", complaint: {meaning(str(tenure['symptom']))}"
    if pd.notna(tenure["bench_outcome"]):
        lines.append(f"            bench: {tenure['bench_outcome']} ({tenure['bench_test_id']})")
    return lines


def _bench(fleet: Fleet, serial: str) -> list[str]:
    rows = fleet.bench_tests[fleet.bench_tests["serial"].eq(serial).fillna(False).astype(bool)].sort_values("tested_on")
    lines: list[str] = []
    for row in rows.to_dict("records"):
        lines.append(f"{_day(row['tested_on'])}  bench {_or(row['bench'])}: {_or(row['outcome'])}, received from {_or(row['received_from'])}")
        lines += _sources(fleet, "bench_tests", row["bench_test_id"])
    return lines


def _sources(fleet: Fleet, table: str, record: Any) -> list[str]:
    """Where the record was read: one line per row of a file, with its fate."""
    if pd.isna(record):
        return []
    rows = fleet.lineage[fleet.lineage["table"].eq(table) & fleet.lineage["record_id"].eq(str(record)).fillna(False).astype(bool)]
    return [f"            {_place(row)}" for row in rows.to_dict("records")]


def _place(row: dict[Any, Any]) -> str:
    parts: Iterable[str] = (str(row["file"]), f"sheet {row['sheet']}" if pd.notna(row["sheet"]) else "", f"row {row['row']}" if pd.notna(row["row"]) else "")
    reason = f": {row['reason']}" if pd.notna(row["reason"]) and row["reason"] else ""
    return f"{', '.join(part for part in parts if part)} ({row['fate']}{reason})"


def _day(value: Any) -> str:
    return "----------" if pd.isna(value) else f"{value:%Y-%m-%d}"


def _or(value: Any) -> str:
    return "not named" if pd.isna(value) else str(value)
