"""Following a name back: the story of a vehicle, a unit or a visit with file and row, and what stands behind a headline number."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

from fleetstats.histories import Histories, tell_story
from fleetstats.records import Explanation, Fleet, explain
from fleetstats.report.meaning import meaning
from fleetstats.report.money_told import money_doubts, money_lines
from fleetstats.report.numbers import NUMBERS, number_story

CODED = ("symptom", "called_item", "called_mode", "action")
SAID = ("removed_serial", "fitted_serial", "fitted_origin", "removal_reason", "detection", "status")


def story(fleet: Fleet, histories: Histories, name: str) -> list[str]:
    """Lines that tell where `name` comes from: a vehicle, a serial, a visit, or one of `NUMBERS`; rows of files at the end.

    Raises InputRefused, with the nearest names, when it is none of these; CannotAnswer where a number cannot be given.
    """
    if name in NUMBERS:
        return number_story(fleet, histories, name)
    found = explain(fleet, name)
    told = _visit(fleet, found.name) if found.kind == "visit" else list(tell_story(fleet, histories, found.name))
    rows = [f"  {row['table']} {row['record_id']}: {_place(row)}" for row in found.rows.to_dict("records")]
    doubts = list(_doubts(fleet, histories, found))
    doubtful = ["Doubts:", *(f"  {doubt}" for doubt in doubts)] if doubts else ["Doubts: none."]
    return [f"{found.kind.capitalize()} {found.name}", *(told or ["No stay in a vehicle is known."]), *doubtful, "Rows behind it:", *rows]


def _doubts(fleet: Fleet, histories: Histories, found: Explanation) -> Iterator[str]:
    """Names that were not written literally, with score and reasons, and what does not fit in the histories."""
    here = found.rows.drop_duplicates(["file", "sheet", "row"])[["file", "sheet", "row"]]
    inferred = fleet.identities.merge(here, on=["file", "sheet", "row"], how="left", indicator=True)
    mine = inferred[inferred["read_as"].eq(found.name).fillna(False) | (inferred["_merge"] == "both")]
    for row in mine.drop_duplicates(["file", "sheet", "row", "column", "written"]).to_dict("records"):
        written = "left empty" if pd.isna(row["written"]) else f"'{row['written']}'"
        taken = "set aside" if pd.isna(row["read_as"]) else f"read as {row['read_as']}"
        yield f"{row['column']} {written} in {_address(row)} {taken} (score {row['score']:.2f}): {row['reasons']}"
    if found.kind == "visit":
        yield from money_doubts(fleet, found.name)
    stays = histories.tenures
    about = stays[(stays["serial"].eq(found.name) | stays["vehicle_id"].eq(found.name)).fillna(False).astype(bool) & stays["faults"].notna()]
    for stay in about.to_dict("records"):
        yield f"stay in {stay['vehicle_id']} from {stay['installed']:%Y-%m-%d}: {stay['faults']}"


def _visit(fleet: Fleet, name: str) -> list[str]:
    visit = fleet.visits[fleet.visits["visit_id"].eq(name)].iloc[0]
    named = (("opened_on", "opened"), ("date_in", "in"), ("date_out", "out"))
    days = ", ".join(f"{word} {visit[column]:%Y-%m-%d}" for column, word in named if pd.notna(visit[column]))
    lines = [f"Vehicle {_or(visit['vehicle_id'])} at {_or(visit['shop'])}, {days or 'no date'}."]
    lines += [f"{column.replace('_', ' ')}: {meaning(str(visit[column]))}" for column in CODED if pd.notna(visit[column])]
    lines += [f"{column.replace('_', ' ')}: {visit[column]}" for column in SAID if pd.notna(visit[column])]
    lines += money_lines(fleet, visit)
    checks = fleet.checks[fleet.checks["visit_id"].eq(name)].to_dict("records")
    return [*lines, *(f"check {row['check']}, {meaning(str(row['check']))}: {row['outcome']}" for row in checks)]


def _address(row: dict[Any, Any]) -> str:
    parts = (str(row["file"]), f"sheet {row['sheet']}" if pd.notna(row["sheet"]) else "", f"row {row['row']}" if pd.notna(row["row"]) else "")
    return ", ".join(part for part in parts if part)


def _place(row: dict[Any, Any]) -> str:
    reason = f": {row['reason']}" if pd.notna(row["reason"]) and row["reason"] else ""
    return f"{_address(row)} ({row['fate']}{reason})"


def _or(value: Any) -> str:
    return "not named" if pd.isna(value) else str(value)
