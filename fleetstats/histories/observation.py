"""When a unit failed or was last known to work, and from when on it was watched."""

from __future__ import annotations

import pandas as pd

from fleetstats.records import Fleet
from fleetstats.records.stacking import stacked


def working_days(fleet: Fleet, visits: pd.DataFrame) -> pd.DataFrame:
    """Days on which a refrigerator was known to work: working sightings and releases from a shop; vehicle_id, day, sorted by day."""
    seen = fleet.sightings[fleet.sightings["working"].fillna(True).astype(bool)][["vehicle_id", "date"]].rename(columns={"date": "day"})
    released = visits[["vehicle_id", "date_out"]].dropna().rename(columns={"date_out": "day"})
    return stacked([seen, released]).drop_duplicates().sort_values(["day", "vehicle_id"], ignore_index=True).astype({"day": "datetime64[s]"})


def failure_days(stays: pd.DataFrame, visits: pd.DataFrame, same_fault_days: int) -> tuple[pd.Series, pd.Series]:
    """Day on which the fault of a condemned unit was first met, and how it was met then.

    The first complaint of the same symptom group (the same symptom in the group 'other') within `same_fault_days` before
    the removal and since the unit was fitted, else the complaint of the visit that removed it.
    """
    ends = stays[stays["ending"] == "condemned"]
    day = ends["complaint"].fillna(ends["ended"])
    earlier = visits[~visits["exchange"]].assign(fault=lambda rows: _fault(rows))[["vehicle_id", "fault", "complaint", "detection"]].dropna(subset="fault")
    asked = ends.assign(fault=_fault(ends), at=ends.index)[["vehicle_id", "fault", "ended", "installed", "at"]].dropna(subset="fault")
    found = asked.merge(earlier, on=["vehicle_id", "fault"])
    near = (found["complaint"] <= found["ended"]) & (found["complaint"] >= found["installed"])
    near &= found["ended"] - found["complaint"] <= pd.Timedelta(days=same_fault_days)
    first = found[near].sort_values("complaint", kind="stable").drop_duplicates("at").set_index("at")
    sooner = first[first["complaint"] < day.reindex(first.index)]
    day.loc[sooner.index] = sooner["complaint"]
    how = ends["detection"].copy()
    how.loc[sooner.index] = sooner["detection"]
    day = day.where(day >= ends["installed"], ends["installed"])
    return day, how.map({"inspection": "inspection", "periodic": "inspection"}).fillna("in use").astype("string")


def _fault(rows: pd.DataFrame) -> pd.Series:
    return rows["group"].where(rows["group"] != "other", rows["symptom"])


def last_working_before(days: pd.DataFrame, who: pd.Series, when: pd.Series, *, allow_same: bool) -> pd.Series:
    """The last day of `days` (see `working_days`) before `when`, or on it, per vehicle `who`; missing where there is none."""
    asked = pd.DataFrame({"vehicle_id": who, "when": when, "at": who.index}).dropna().astype({"when": "datetime64[s]"}).sort_values("when")
    if asked.empty or days.empty:
        return pd.Series(pd.NaT, index=who.index, dtype="datetime64[s]")
    found = pd.merge_asof(asked, days, left_on="when", right_on="day", by="vehicle_id", allow_exact_matches=allow_same)
    return found.set_index("at")["day"].reindex(who.index).astype("datetime64[s]")
