"""Vehicles named by their number plate, which may have been at another vehicle before."""

from __future__ import annotations

from collections.abc import Collection

import pandas as pd

from fleetstats.records import scoring
from fleetstats.records.scoring import Match, match
from fleetstats.sources.vehicle_marks import PLATE_MARK

DAYS = ("opened_on", "date_in", "complaint_on", "date_out", "received_on", "tested_on", "reported_on", "date", "from")
"""Columns that say when a row speaks, the first known one counts."""


def by_plate(rows: pd.DataFrame, written: Collection[str], vehicles: pd.DataFrame) -> pd.DataFrame:
    """The vehicle of every row that names one by a plate of the register: columns vehicle_id and match, by index of `rows`.

    written: the distinct texts of columns vehicle_id, theirs among them. vehicles: the register, with plates. A plate that one vehicle has is that vehicle; one
    that several have is the vehicle's that had it on the day of the row. Where no day tells, or the periods overlap, vehicle_id is missing and the match
    is below the threshold.
    """
    plates = {text for text in set(vehicles["plate"].dropna()).intersection(written) if PLATE_MARK.fullmatch(text)}
    asked = rows.loc[rows["vehicle_id"].isin(plates), ["vehicle_id", *(day for day in DAYS if day in rows)]]
    if asked.empty:
        return pd.DataFrame({"vehicle_id": pd.Series(dtype="string"), "match": pd.Series(dtype=object)})
    pairs = _pairs(asked, vehicles)
    several = pairs.groupby("at")["vehicle_id"].transform("nunique")
    within = pairs[pairs["fits"]]
    count = within["at"].value_counts()
    alone = pairs[several == 1].drop_duplicates("at").set_index("at")["vehicle_id"]
    dated = within[within["at"].map(count) == 1].set_index("at")["vehicle_id"]
    named = alone.reindex(asked.index).astype("string").fillna(dated.reindex(asked.index).astype("string"))
    others = pairs.drop_duplicates(["at", "vehicle_id"])["at"].value_counts()
    scores = [_score(at in alone.index, at in dated.index, int(others[at])) for at in asked.index]
    return pd.DataFrame({"vehicle_id": named, "match": pd.Series(scores, index=asked.index, dtype=object)})


def _pairs(asked: pd.DataFrame, vehicles: pd.DataFrame) -> pd.DataFrame:
    """Each row with each vehicle that has its plate: at, vehicle_id, fits (the vehicle was there on that day)."""
    days = asked.drop(columns="vehicle_id").bfill(axis=1).iloc[:, 0]
    said = pd.DataFrame({"at": asked.index, "plate": asked["vehicle_id"].to_numpy(), "day": days.astype("datetime64[s]").to_numpy()})
    begins = vehicles["acquired"].fillna(vehicles["in_service"]).fillna(vehicles["built"])
    fleet = pd.DataFrame({"plate": vehicles["plate"], "vehicle_id": vehicles["vehicle_id"], "begins": begins, "ends": vehicles["out_of_service"]})
    pairs = said.merge(fleet.dropna(subset=["plate", "vehicle_id"]).drop_duplicates(["plate", "vehicle_id"]), on="plate")
    known = pairs["day"].notna()
    return pairs.assign(fits=known & (pairs["begins"].isna() | (pairs["begins"] <= pairs["day"])) & (pairs["ends"].isna() | (pairs["day"] <= pairs["ends"])))


def _score(alone: bool, dated: bool, vehicles: int) -> Match:
    if alone:
        return match([scoring.PLATE, scoring.REGISTER])
    if dated:
        return match([scoring.PLATE, scoring.REGISTER, scoring.BY_DATE])
    return match([scoring.PLATE, scoring.REGISTER], others=vehicles - 1)
