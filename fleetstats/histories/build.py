"""Histories of a fleet, as far as they were known at `as_of`."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from fleetstats.histories.component_events import component_events
from fleetstats.histories.known import known_visits
from fleetstats.histories.result import Histories
from fleetstats.histories.tenures import tenures
from fleetstats.histories.windows import exposure, observed_vehicles
from fleetstats.records import Fleet


def build_histories(fleet: Fleet) -> Histories:
    """Tenures, component events and exposure from what was reported by `as_of`."""
    as_of = pd.Timestamp(fleet.settings.as_of)
    fleet = replace(fleet, sightings=fleet.sightings[fleet.sightings["date"] <= as_of])
    visits = known_visits(fleet.visits, as_of)
    vehicles = observed_vehicles(fleet, visits, as_of)
    stays, unjoined = tenures(fleet, vehicles, visits)
    events, watched = component_events(fleet, vehicles, visits), exposure(fleet, vehicles)
    return Histories(
        tenures=stays, component_events=events, exposure=watched, n_unjoined_bench_tests=unjoined,
        summary=_summary(fleet, vehicles, visits, stays, watched, unjoined), notes=_notes(fleet, visits, stays, vehicles), inputs=fleet.fingerprint,
    )


def _summary(
    fleet: Fleet, vehicles: pd.DataFrame, visits: pd.DataFrame, stays: pd.DataFrame, watched: pd.DataFrame, unjoined: int,
) -> dict[str, float]:
    condemned = stays["ending"] == "condemned"
    definite = stays["bench_outcome"].notna() & stays["bench_outcome"].ne("inconclusive").fillna(False)
    lately = stays["ended"] > pd.Timestamp(fleet.settings.as_of) - pd.DateOffset(years=1)
    origins = {f"tenures_{origin}": int((stays["origin"] == origin).sum()) for origin in ("new", "reconditioned", "unknown")}
    return {
        "vehicles": len(vehicles), "visits": len(visits), "condemned": int(condemned.sum()), "condemned_last_year": int((condemned & lately).sum()),
        "tested": int((condemned & definite).sum()), "unjoined_bench_tests": unjoined, "tenures": len(stays), **origins,
        "vehicles_with_sightings": int(vehicles["vehicle_id"].isin(fleet.sightings["vehicle_id"]).sum()), "vehicle_years": float(watched["years"].sum()),
    }


def _notes(fleet: Fleet, visits: pd.DataFrame, stays: pd.DataFrame, vehicles: pd.DataFrame) -> tuple[str, ...]:
    named = fleet.visits["vehicle_id"].notna()
    dayless = fleet.bench_tests[["tested_on", "received_on", "reported_on"]].isna().all(axis=1)
    unseen = int((stays["entered_years"] >= stays["ended_years"]).sum())
    several = {name: int(stays["faults"].str.contains(name).fillna(False).sum()) for name in ("overlap", "gap", "jump", "teleport")}
    said = [
        (int((~named).sum()), "visit names no vehicle and belongs to no history.", "visits name no vehicle and belong to no history."),
        (int(named.sum()) - len(visits), "visit names no day, or lies or became known after the reporting day, and was not used.",
         "visits name no day, or lie or became known after the reporting day, and were not used."),
        (int(dayless.sum()), "bench test names no day and was not used.", "bench tests name no day and were not used."),
        (int((~vehicles["covered"]).sum()), "vehicle stands where no shop says what its records cover: it counts as watched since the first visit of any.",
         "vehicles stand where no shop says what its records cover: they count as watched since the first visit of any."),
        (len(vehicles) - len(fleet.vehicles), "vehicle stands in visits and not in the register; its first unit has an unknown age.",
         "vehicles stand in visits and not in the register; the first unit of each has an unknown age."),
        (unseen, "tenure lies outside the recorded time or has a unit of unknown age: it counts in the audit and gives no life.",
         "tenures lie outside the recorded time or have a unit of unknown age: they count in the audit and give no life."),
        *((count, f"tenure has a fault of history named '{name}'.", f"tenures have a fault of history named '{name}'.") for name, count in several.items()),
    ]
    notes = tuple(f"{count} {one if count == 1 else more}" for count, one, more in said if count > 0)
    sightings = "No record says on which days refrigerators worked: units still in service count as working until the records end."
    return (*notes, sightings) if fleet.sightings.empty else notes
