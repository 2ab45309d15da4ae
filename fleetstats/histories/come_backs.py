"""Whether a vehicle came back with a complaint soon after its unit was exchanged."""

from __future__ import annotations

import pandas as pd

from fleetstats.histories.known import is_cooling_complaint

ONE_DAY = pd.Timedelta(days=1)


def come_backs(ends: pd.DataFrame, visits: pd.DataFrame, vehicles: pd.DataFrame, sightings: pd.DataFrame, days: int) -> pd.Series:
    """"yes", "no" or "not observable" per condemned stay.

    ends: condemned stays with ended_by, vehicle_id, group and released (day the vehicle was released after the exchange).
    Yes: a visit with a complaint about cooling, or of the same group, opened within `days` after the release.
    Not observable: the vehicle left, or its records end, within that time; or it is a vehicle with sightings and was
    not seen on hire then. A "yes" stands whatever was observable.
    """
    window = ends[["vehicle_id", "ended_by", "released", "group"]].assign(at=ends.index, until=(ends["released"] + days * ONE_DAY).astype("datetime64[s]"))
    complaints = visits.assign(cooling=is_cooling_complaint(visits))[["vehicle_id", "visit_id", "start", "group", "cooling"]]
    met = window.merge(complaints, on="vehicle_id", suffixes=("", "_again"))
    again = (met["start"] > met["released"]) & (met["start"] <= met["until"]) & (met["visit_id"] != met["ended_by"])
    again &= met["cooling"] | (met["group"] == met["group_again"]).fillna(False)
    yes = window.index.isin(met.loc[again.to_numpy(bool), "at"])
    ending = window["vehicle_id"].map(vehicles.set_index("vehicle_id")["to"])
    observable = (ending >= window["until"]) & (~window["vehicle_id"].isin(sightings["vehicle_id"]) | _seen(window, sightings))
    answer = observable.map({True: "no", False: "not observable"}).astype("string")
    return answer.mask(yes, "yes")


def _seen(window: pd.DataFrame, sightings: pd.DataFrame) -> pd.Series:
    """True where the vehicle was seen on a day of the window."""
    asked = window.dropna(subset="until").sort_values("until")
    if asked.empty or sightings.empty:
        return pd.Series(False, index=window.index)
    days = sightings[["vehicle_id", "date"]].drop_duplicates().sort_values("date")
    last = pd.merge_asof(asked, days, left_on="until", right_on="date", by="vehicle_id").set_index("at")
    return (last["date"] > last["released"]).reindex(window.index, fill_value=False)
