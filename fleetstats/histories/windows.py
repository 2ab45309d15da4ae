"""From when to when each vehicle was under observation, and where it stood."""

from __future__ import annotations

import pandas as pd

from fleetstats import tables
from fleetstats.histories.known import years_between
from fleetstats.records import Fleet
from fleetstats.records.stacking import stacked

DAY = pd.Timedelta(days=1)


def observed_vehicles(fleet: Fleet, visits: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """One row per vehicle of the register and of the visits, with the window in which its faults would have been recorded.

    Adds to the columns of `vehicles`: starts (first day in service, else the first thing known of it), left (day it left
    the fleet by as_of, or missing), covered (a shop says what its records cover), from and to. `from` is the latest beginning
    of the records of the shops that serve its depot, else the first visit of any vehicle; `to` the earliest end of those
    records, at most as_of and the day it left.
    Where the table of shops does not say what a shop's records cover, the profiles of its files do.
    """
    seen = visits.groupby("vehicle_id")["start"].min()
    strangers = pd.DataFrame({"vehicle_id": seen.index.difference(pd.Index(fleet.vehicles["vehicle_id"]))})
    table = stacked([fleet.vehicles, tables.VEHICLES.conform(strangers)])
    covered = _coverage(fleet, table["depot"])
    first_known = visits["start"].min() if len(visits) else as_of
    starts = table["in_service"].fillna(table["acquired"]).fillna(table["built"]).fillna(table["vehicle_id"].map(seen))
    left = table["out_of_service"].where(table["out_of_service"] <= as_of)
    begin = covered["covers_from"].fillna(first_known)
    end = covered["covers_to"].fillna(as_of)
    end = end.where(end <= as_of, as_of)
    end = end.where(left.isna() | (left > end), left)
    table = table.assign(starts=starts, left=left, to=end, covered=covered["covers_from"].notna())
    table["from"] = begin.where(starts.isna() | (begin > starts), starts)
    return table.astype(dict.fromkeys(("starts", "left", "from", "to"), "datetime64[s]"))


def _coverage(fleet: Fleet, depots: pd.Series) -> pd.DataFrame:
    """Per depot of `depots` (their index) the latest covers_from and the earliest covers_to of the shops that serve it.

    A shop that is not said to serve any depot speaks for the depots that no other shop serves.
    """
    told = _told_by_files(fleet)
    shops = fleet.shops[["shop", "serves", *told.columns]].merge(told.reset_index(), on="shop", how="outer", suffixes=("", "_told"))
    for name in told.columns:
        shops[name] = shops[name].fillna(shops[f"{name}_told"])
    served = shops.assign(depot=shops["serves"].str.split(";")).explode("depot")
    served["depot"] = served["depot"].astype("string").str.strip()
    known = served.groupby("depot").agg(covers_from=("covers_from", "max"), covers_to=("covers_to", "min"))
    anywhere = shops[shops["serves"].isna()].agg({"covers_from": "max", "covers_to": "min"})
    found = {name: depots.map(known[name]).where(depots.isin(known.index), anywhere[name]).astype("datetime64[s]") for name in told.columns}
    return pd.DataFrame(found, index=depots.index)


def _told_by_files(fleet: Fleet) -> pd.DataFrame:
    """Per shop (the index) the first and the last day that the files of its visits are said to cover."""
    lines = fleet.lineage[(fleet.lineage["table"] == "visits") & (fleet.lineage["fate"] == "accepted")]
    shops = lines["record_id"].map(fleet.visits.set_index("visit_id")["shop"]).astype("string")
    rows = lines.assign(shop=shops)[["shop", "file"]].dropna().drop_duplicates().merge(fleet.files, on="file")
    return rows.groupby("shop").agg(covers_from=("covers_from", "min"), covers_to=("covers_to", "max"))


def depot_on(fleet: Fleet, vehicles: pd.DataFrame, who: pd.Series, when: pd.Series) -> pd.Series:
    """Depot of each vehicle `who` on the day `when`: by its assignments, else its home depot."""
    home = who.map(vehicles.set_index("vehicle_id")["depot"]).astype("string")
    if fleet.assignments.empty or who.empty:
        return home
    asked = pd.DataFrame({"vehicle_id": who, "when": when, "at": who.index}).dropna().astype({"when": "datetime64[s]"}).sort_values("when")
    posted = fleet.assignments.sort_values("from")
    found = pd.merge_asof(asked, posted, left_on="when", right_on="from", by="vehicle_id")
    found = found[found["to"].isna() | (found["when"] <= found["to"])]
    return found.set_index("at")["depot"].reindex(who.index).fillna(home).astype("string")


def exposure(fleet: Fleet, vehicles: pd.DataFrame) -> pd.DataFrame:
    """Vehicle-years under observation, cut where a vehicle changed its depot; conformed to `tables.EXPOSURE`."""
    watched = vehicles[(vehicles["from"] < vehicles["to"]) & vehicles["starts"].notna()]
    rows = watched[["vehicle_id", "depot", "from", "to", "refrigerator_size_l"]].rename(columns={"refrigerator_size_l": "size_l"})
    moves = fleet.assignments.merge(rows[["vehicle_id", "from", "to"]], on="vehicle_id", suffixes=("", "_window"))
    inside = moves[(moves["from"] > moves["from_window"]) & (moves["from"] < moves["to_window"])]
    ends = fleet.assignments["to"] + DAY
    back = fleet.assignments.assign(**{"from": ends}).dropna(subset="from").merge(rows[["vehicle_id", "from", "to"]], on="vehicle_id", suffixes=("", "_window"))
    back = back[(back["from"] > back["from_window"]) & (back["from"] < back["to_window"])]
    cuts = stacked([rows[["vehicle_id", "from"]], inside[["vehicle_id", "from"]], back[["vehicle_id", "from"]]]).drop_duplicates()
    pieces = cuts.merge(rows[["vehicle_id", "to", "size_l"]], on="vehicle_id").sort_values(["vehicle_id", "from"], ignore_index=True)
    following = pieces.groupby("vehicle_id")["from"].shift(-1)
    pieces["to"] = following.where(following.notna(), pieces["to"])
    pieces["depot"] = depot_on(fleet, vehicles, pieces["vehicle_id"], pieces["from"])
    pieces["years"] = years_between(pieces["from"], pieces["to"])
    return tables.EXPOSURE.check(pieces[list(tables.EXPOSURE.columns)])
