"""Visits that left the unit where it was: faults outside it, and complaints that were released."""

from __future__ import annotations

import pandas as pd

from fleetstats import tables
from fleetstats.histories.known import is_cooling_complaint
from fleetstats.histories.windows import depot_on
from fleetstats.records import Fleet
from fleetstats.records.overlaps import SENT_ON


def component_events(fleet: Fleet, vehicles: pd.DataFrame, visits: pd.DataFrame) -> pd.DataFrame:
    """One row per visit without an exchange that names a complaint or an item; a vehicle sent on is counted where it went.

    Only events of the time in which the vehicle was watched count: others have no vehicle-years to be held against.
    """
    says = visits["symptom"].notna() | visits["called_item"].notna()
    window = vehicles.set_index("vehicle_id")[["from", "to"]].reindex(visits["vehicle_id"]).set_axis(visits.index)
    watched = (visits["complaint"] >= window["from"]) & (visits["complaint"] <= window["to"])
    kept = visits[(says & watched & ~visits["exchange"] & (visits["action"] != SENT_ON).fillna(True)).to_numpy(bool)]
    out = kept[["visit_id", "vehicle_id", "symptom", "shop"]].assign(date=kept["complaint"], item=kept["called_item"])
    out["cooling_complaint"] = is_cooling_complaint(kept)
    out["depot"] = depot_on(fleet, vehicles, kept["vehicle_id"], kept["complaint"])
    out["size_l"] = kept["vehicle_id"].map(vehicles.set_index("vehicle_id")["refrigerator_size_l"])
    return tables.COMPONENT_EVENTS.check(out[list(tables.COMPONENT_EVENTS.columns)].reset_index(drop=True))
