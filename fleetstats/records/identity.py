"""Identities across all tables: vehicle numbers of the register, one spelling per serial."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from fleetstats import tables
from fleetstats.records.draft import Draft
from fleetstats.records.serials import CONFUSION, known_serials
from fleetstats.records.spelling import runs
from fleetstats.records.vehicle_numbers import match_vehicles, own_register

SERIAL_COLUMNS = {
    "vehicles": ("first_cooling_unit_serial",), "visits": ("removed_serial", "fitted_serial"), "bench_tests": ("serial",),
    "reconditionings": ("serial",), "unit_moves": ("serial",),
}
VEHICLE_TABLES = ("vehicles", "assignments", "visits", "bench_tests", "sightings")


def name_vehicles(drafts: Mapping[str, Draft]) -> pd.DataFrame:
    """Give every row the register's vehicle number. Returns rows of `rejects`: one per file and number that is not in it.

    The register may spell a number in several ways, but numbers in which dashes part the digits otherwise ('T1-01', 'T10-1')
    are two vehicles. Without a register the spellings of one number are brought to the commonest one, and nothing is reported.
    """
    registered = drafts["vehicles"].rows["vehicle_id"].dropna()
    everyone = pd.concat([drafts[name].rows["vehicle_id"].dropna() for name in VEHICLE_TABLES], ignore_index=True)
    register = own_register(registered, runs) if len(registered) else own_register(everyone)
    found = match_vehicles(everyone, register)
    strangers: list[pd.DataFrame] = []
    for name in VEHICLE_TABLES:
        draft = drafts[name]
        written = draft.rows["vehicle_id"]
        how = written.map(found["how"]).astype("string").fillna("")
        draft.rows["vehicle_id"] = written.map(found["vehicle_id"]).astype("string")
        stranger = how == "not in the register"
        draft.note((how != "") & ~stranger, "vehicle read as " + written.fillna("") + " (" + how + ")")
        draft.note(stranger, "vehicle not in the register")
        strangers.append(_strangers(draft.rows[stranger]))
    return pd.concat(strangers, ignore_index=True)


def _strangers(rows: pd.DataFrame) -> pd.DataFrame:
    first = rows.drop_duplicates(["file", "vehicle_id"])
    return tables.REJECTS.conform(first[["file", "sheet", "row"]].assign(
        column="vehicle_id", scope="cell", what="the vehicle is not in the register; the row was kept", found=first["vehicle_id"],
        wanted="a number of the vehicle register", remedy="Add the vehicle to the register, or mend the number in the file.",
    ).reset_index(drop=True))


def name_serials(drafts: Mapping[str, Draft]) -> None:
    """Bring the serials of all tables to one spelling per unit, telling at the row where letters were taken for others."""
    written = {name: pd.concat([drafts[name].rows[column] for column in columns]) for name, columns in SERIAL_COLUMNS.items()}
    known = known_serials(written["vehicles"], pd.concat([serials for name, serials in written.items() if name != "vehicles"], ignore_index=True))
    for name, columns in SERIAL_COLUMNS.items():
        draft = drafts[name]
        for column in columns:
            text = draft.rows[column]
            draft.rows[column], misread = known.resolve(text)
            role = "" if column == "serial" else column.removesuffix("_serial").replace("_cooling_unit", "") + " "
            draft.note(misread, f"{role}serial: {CONFUSION}, read as " + text.fillna(""))
