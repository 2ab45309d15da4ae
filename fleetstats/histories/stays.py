"""Stays: what came in with the vehicle, then one stay per exchange; each ends with the next one."""

from __future__ import annotations

import pandas as pd

from fleetstats.records.stacking import stacked

PLANNED = ("age policy", "recall", "request", "upgrade")
NEW_AGAIN = {"new": "new", "reconditioned": "reconditioned", "own unit reconditioned": "reconditioned"}
"""Population of a unit whose clock starts when it is fitted."""
BODY = ("FND_FR_LINER", "FND_FR_DOOR")
ONE_YEAR = pd.Timedelta(days=366)
ENDS = ["visit_id", "removed_on", "complaint", "ending", "removed_serial", "symptom", "group", "detection", "shop"]


def stays(vehicles: pd.DataFrame, visits: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """One row per stay in order of vehicle and installation.

    Columns: vehicle_id, installed, installed_by, fitted_serial, fitted_origin, made (of a first unit), first (came with the
    vehicle), nothing_named (the visit does not say what went in), and of its end: ended, ended_by, ending, removed_serial,
    complaint, symptom, group, detection, shop.
    """
    swaps = visits[visits["exchange"]].assign(ending=lambda rows: endings(rows), first=False)
    begins = swaps[["vehicle_id", "fitted_on", "visit_id", "fitted_serial"]].rename(columns={"fitted_on": "installed", "visit_id": "installed_by"})
    begins = begins.assign(fitted_origin=_fitted_origin(swaps), made=pd.Series(pd.NaT, index=swaps.index, dtype="datetime64[s]"), first=False)
    begins["nothing_named"] = swaps["fitted_kind"].isna() & swaps["fitted_serial"].isna()
    begins = begins.astype({"installed": "datetime64[s]"})
    rows = stacked([_first_units(vehicles), begins])
    rows = rows.assign(order=rows.groupby("vehicle_id").cumcount())
    ends = swaps[["vehicle_id", *ENDS]].assign(order=swaps.groupby("vehicle_id").cumcount()).rename(columns={"visit_id": "ended_by", "removed_on": "ended"})
    table = rows.merge(ends, on=["vehicle_id", "order"], how="left").sort_values(["vehicle_id", "order"], ignore_index=True)
    return _still_there(table, vehicles, as_of)


def endings(swaps: pd.DataFrame) -> pd.Series:
    """Why units were removed. Without a reason, a complaint or a named fault of the unit means it was condemned; the refrigerator's body does not."""
    reason = swaps["removal_reason"]
    told = reason.map({"fault of the unit": "condemned", **dict.fromkeys(PLANNED, "planned"), "other": "other"}).astype("string")
    unit = swaps["called_item"].str.startswith("CU").fillna(False) | swaps["called_mode"].str.startswith("FND_CU").fillna(False) | swaps["symptom"].notna()
    silent = unit.astype(bool) & ~swaps["called_mode"].isin(BODY)
    return told.fillna(silent.map({True: "condemned", False: "other"}).astype("string"))


def _fitted_origin(swaps: pd.DataFrame) -> pd.Series:
    """What was fitted; a whole refrigerator brings a new unit unless the visit says otherwise."""
    silent = swaps["fitted_origin"].isna() | (swaps["fitted_origin"] == "unknown").fillna(False)
    whole = (swaps["fitted_kind"] == "whole refrigerator").fillna(False)
    return swaps["fitted_origin"].mask((silent & whole).astype(bool), "new").fillna("unknown")


def _first_units(vehicles: pd.DataFrame) -> pd.DataFrame:
    """The unit each vehicle came with, or that was found in it when its records began (then made after the vehicle)."""
    made = vehicles["first_unit_made"].fillna(vehicles["built"])
    installed = vehicles["starts"].where(made.isna() | (made <= vehicles["starts"]), made)
    fresh = vehicles["built"].notna() & (vehicles["starts"] - vehicles["built"] <= ONE_YEAR) & vehicles["first_unit_made"].isna()
    origin = vehicles["first_origin"].mask((vehicles["first_origin"].isna() & fresh).astype(bool), "new").fillna("unknown")
    return pd.DataFrame({
        "vehicle_id": vehicles["vehicle_id"], "installed": installed, "installed_by": pd.array([pd.NA] * len(vehicles), dtype="string"),
        "fitted_serial": vehicles["first_cooling_unit_serial"], "fitted_origin": origin, "made": made, "first": True, "nothing_named": False,
    }).astype({"made": "datetime64[s]", "installed": "datetime64[s]"})


def _still_there(table: pd.DataFrame, vehicles: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """Stays without a removal end with the vehicle's leaving, or last until as_of."""
    left = table["vehicle_id"].map(vehicles.set_index("vehicle_id")["left"])
    lasting = table["ended"].isna()
    ending = table["ending"].mask(lasting & left.notna(), "left fleet").fillna("in service")
    ended = table["ended"].fillna(left).fillna(as_of)
    table = table.assign(ending=ending.astype("string"), ended=ended)
    known = table["installed"].notna() & (table["installed"] <= as_of)
    table = table[known.to_numpy(bool)].reset_index(drop=True)
    # a first unit made after its vehicle left or was first exchanged, or a removal before the fitting: the stay is empty, not negative
    crossed = table["ended"] < table["installed"]
    return table.assign(ended=table["ended"].mask(crossed, table["installed"]), overlap=crossed)
