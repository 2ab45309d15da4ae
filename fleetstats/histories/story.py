"""The life of one unit, or the units of one vehicle, as dated sentences with the records behind them."""

from __future__ import annotations

import pandas as pd

from fleetstats.histories.between import Event, moves_of, said_at, stayed_in, whereabouts
from fleetstats.histories.result import Histories
from fleetstats.records import Fleet


def tell_story(fleet: Fleet, histories: Histories, name: str) -> tuple[str, ...]:
    """What happened to the unit with serial `name`, or to the units of vehicle `name`, in order; empty where nothing is known.

    Each sentence begins with the day and ends with the records it comes from; for a unit, the last one says where it is now.
    """
    stays = histories.tenures
    mine = stays[((stays["serial"] == name) | (stays["vehicle_id"] == name)).fillna(False).astype(bool)]
    known = set(fleet.vehicles["vehicle_id"])
    events = [event for _, stay in mine.iterrows() for event in _of_stay(stay, fleet, stay["vehicle_id"] in known)]
    events += [*stayed_in(fleet, mine), *moves_of(fleet, name)]
    events += [_tested(test) for _, test in _tests(fleet, name, mine).iterrows()]
    events += [_rebuilt(row) for _, row in fleet.reconditionings[(fleet.reconditionings["serial"] == name).fillna(False).astype(bool)].iterrows()]
    told = [f"{day:%Y-%m-%d}: {sentence}" for day, _, sentence in sorted(events, key=lambda event: event[:2])]
    now = whereabouts(mine, events, name)
    return (*told, now) if now else tuple(told)


def _visit(fleet: Fleet, visit_id: object) -> pd.Series | None:
    found = fleet.visits[(fleet.visits["visit_id"] == visit_id).fillna(False).astype(bool)]
    return found.iloc[0] if len(found) else None


def _of_stay(stay: pd.Series, fleet: Fleet, registered: bool) -> list[Event]:
    fitting = _visit(fleet, stay["installed_by"])
    unit = "a unit of unknown serial" if pd.isna(stay["serial"]) else f"{stay['serial']}{_doubt(stay['serial_basis'])}"
    age = "" if stay["origin"] == "unknown" else f" at age {stay['unit_age_at_installed_years']:.1f} years"
    what = f"origin {stay['origin']}" if fitting is None or pd.isna(fitting["fitted_origin"]) else str(fitting["fitted_origin"])
    if pd.isna(stay["installed_by"]) and not registered:
        begins = f"{unit} met in {stay['vehicle_id']} for the first time; since when is not known (the vehicle stands in no register)"
    else:
        source = "vehicle register" if pd.isna(stay["installed_by"]) else f"visit {stay['installed_by']}"
        begins = f"{unit} fitted to {stay['vehicle_id']} ({what}){age} ({source})"
    # a first unit may be met on the day it is removed, and is told before that; a unit fitted by a visit after the one it replaces
    began, ended = -1 if pd.isna(stay["installed_by"]) else 2, 3 if stay["ending"] == "in service" else 0
    return [(stay["installed"], began, begins), (stay["ended"], ended, _ending(stay, unit, _visit(fleet, stay["ended_by"])))]


def _ending(stay: pd.Series, unit: str, visit: pd.Series | None) -> str:
    if stay["ending"] == "in service":
        return f"{unit} still in service in {stay['vehicle_id']}"
    if stay["ending"] == "left fleet":
        return f"{stay['vehicle_id']} left the fleet with {unit} (vehicle register)"
    how = {"condemned": "condemned", "planned": "removed as planned", "other": "removed for another reason"}[stay["ending"]]
    where = "" if pd.isna(stay["shop"]) else f" at {stay['shop']}"
    why = said_at(visit) or ("" if pd.isna(stay["symptom"]) else f", complaint {stay['symptom']}")
    faults = "" if pd.isna(stay["faults"]) else f"; doubtful history: {stay['faults']}"
    return f"{unit} {how}{where}{why} (visit {stay['ended_by']}){faults}"


def _doubt(basis: object) -> str:
    return "" if basis == "read" else f" (serial known {basis})" if basis == "from the chain" else f" (serial mended: {basis})"


def _tests(fleet: Fleet, name: str, mine: pd.DataFrame) -> pd.DataFrame:
    tests = fleet.bench_tests
    judged = tests["bench_test_id"].isin(mine["bench_test_id"].dropna()) | (tests["serial"] == name).fillna(False).astype(bool)
    return tests[judged & (tests["tested_on"].notna() | tests["received_on"].notna())]


def _tested(test: pd.Series) -> Event:
    day = test["tested_on"] if pd.notna(test["tested_on"]) else test["received_on"]
    unit = "the removed unit" if pd.isna(test["serial"]) else test["serial"]
    bench = "" if pd.isna(test["bench"]) else f" at {test['bench']}"
    verdict = "without a verdict" if pd.isna(test["outcome"]) else test["outcome"]
    return day, 1, f"{unit} on the bench{bench}: {verdict} (bench test {test['bench_test_id']})"


def _rebuilt(row: pd.Series) -> Event:
    day = row["finished"] if pd.notna(row["finished"]) else row["started"]
    outcome = "" if pd.isna(row["outcome"]) else f", {row['outcome']}"
    return day, 1, f"{row['serial']} reconditioned{outcome} (reconditionings)"
