"""Which rows are one event: links between rows, and the groups they make."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from fleetstats.records.exchange import opened
from fleetstats.records.spelling import folded, normal
from fleetstats.records.stacking import texts

SENT_ON = "ACT_SENT_ON"
MONEY = ["parts_cost", "labour_cost", "other_cost", "total_cost"]
COPY = "the same row again"
COPIED_FILE = "the same row of a copied file"
DOCUMENT = "same document, amount and date"
OVERLAP = "opened before the vehicle was released from the first"
MAY_DIFFER = ["file", "sheet", "row", "sha256", "source", "reason", "reported_on"]
"""Columns in which copies of a row may differ."""

Links = tuple[np.ndarray, np.ndarray]
"""Positions of the first and second row of each link."""


def event_groups(visits: pd.DataFrame, days: int) -> tuple[np.ndarray, np.ndarray]:
    """Rows of visits that are one event.

    visits: typed rows with vehicle numbers of the register, positions as index. days: `duplicate_days`.
    Two rows are one event when they are the same row again, when they share document, amount and date, or when the
    second was opened before the vehicle was released from the first, at most `days` after it. A row whose action is
    that the vehicle was sent on is never one event with another shop's, nor are two exchanges of which the second took out
    what the first put in. Rows opened after the release stay apart. The row of a file and of its copy, byte for byte, are one.
    Returns a group number and the rule that linked it ("" for none), per row.
    """
    identified = opened(visits).notna() & (visits["vehicle_id"].notna() | visits["document"].notna())
    rules = [
        (COPY, copies(visits, identified)), (COPIED_FILE, copied_files(visits)), (DOCUMENT, _same_document(visits)), (OVERLAP, _overlapping(visits, days)),
    ]
    return grouped(len(visits), rules)


def grouped(n: int, rules: list[tuple[str, Links]]) -> tuple[np.ndarray, np.ndarray]:
    """Groups connected by the links of all rules, and per row the first rule that links it ("" for none)."""
    first = np.concatenate([links[0] for _, links in rules]).astype(np.int64)
    second = np.concatenate([links[1] for _, links in rules]).astype(np.int64)
    _, labels = connected_components(coo_array((np.ones(len(first)), (first, second)), shape=(n, n)), directed=False)
    why = np.full(n, "", dtype=object)
    for rule, links in reversed(rules):
        for ends in links:
            why[ends] = rule
    return labels, why


def equal_keys(keys: pd.DataFrame, usable: pd.Series) -> Links:
    """Links between rows that agree in every column of `keys` (missing agrees with missing), where `usable`."""
    where = np.flatnonzero(usable.to_numpy(bool))
    if len(where) < 2:
        return _none()
    codes = keys.iloc[where].groupby(list(keys.columns), dropna=False, sort=False).ngroup().to_numpy()
    order = np.argsort(codes, kind="stable")
    same = codes[order][1:] == codes[order][:-1]
    return where[order[:-1][same]], where[order[1:][same]]


def copies(rows: pd.DataFrame, usable: pd.Series) -> Links:
    """Links between rows that agree in everything they say, where `usable`."""
    return equal_keys(rows.drop(columns=[name for name in MAY_DIFFER if name in rows]), usable)


def agreeing(links: Links, column: pd.Series) -> Links:
    """The links whose two rows do not differ in `column`; missing agrees with everything."""
    said = texts(column)
    agree = [a is None or b is None or a == b for a, b in zip(said[links[0]], said[links[1]], strict=True)]
    return links[0][agree], links[1][agree]


def copied_files(rows: pd.DataFrame) -> Links:
    """Links between rows that stand at one place of files with the same bytes."""
    return equal_keys(rows[["sha256", "sheet", "row"]], pd.Series(True, index=rows.index))


def amount(visits: pd.DataFrame) -> pd.Series:
    """The money of a row: its total, else the sum of its parts; missing when it names none."""
    parts = visits[MONEY[:3]].sum(axis=1, min_count=1)
    return visits["total_cost"].where(visits["total_cost"].notna(), parts).round(2)


def document_form(documents: pd.Series) -> pd.Series:
    """Document numbers in upper case, letters and digits only."""
    distinct = documents.dropna().unique()
    return documents.map({text: normal(text) for text in distinct}).astype("string")


def _same_document(visits: pd.DataFrame) -> Links:
    keys = pd.DataFrame({"document": document_form(visits["document"]), "amount": amount(visits), "date": opened(visits)})
    return agreeing(equal_keys(keys, keys.notna().all(axis=1)), visits["vehicle_id"])


def _overlapping(visits: pd.DataFrame, days: int) -> Links:
    """Links by time, found by comparing each row with the 1st, 2nd, ... row after it of the same vehicle."""
    table = _timeline(visits)
    found: list[Links] = []
    for lag in range(1, len(table)):
        one, two = table.iloc[:-lag].reset_index(drop=True), table.iloc[lag:].reset_index(drop=True)
        near = (one["vehicle"] == two["vehicle"]) & (two["start"] - one["start"] <= days)
        if not near.any():
            break
        inside = (two["start"] < one["release"]) | (two["start"] == one["start"])
        handed_over = one["sent_on"] & (one["shop"] != two["shop"])
        linked = (near & inside & ~handed_over & ~_chained(one, two) & ~_chained(two, one)).to_numpy(bool)
        found.append((one["position"].to_numpy()[linked], two["position"].to_numpy()[linked]))
    return (np.concatenate([pair[0] for pair in found]), np.concatenate([pair[1] for pair in found])) if found else _none()


def _chained(one: pd.DataFrame, two: pd.DataFrame) -> pd.Series:
    """True where `two` took out what `one` put in, and three units are named: two exchanges, however near."""
    three = (one["removed"] != two["removed"]) & (one["removed"] != two["fitted"]) & (one["fitted"] != two["fitted"])
    named = (one["removed"] >= 0) & (one["fitted"] >= 0) & (two["fitted"] >= 0)
    return (one["fitted"] == two["removed"]) & three & named


def _timeline(visits: pd.DataFrame) -> pd.DataFrame:
    """Rows with a vehicle and a day, in order: position, vehicle, shop, removed, fitted (codes), start, release (days), sent_on.

    A closed row without a release day is taken as released on the day it began; closed is what says so, and what was
    billed and says nothing. An open one, or a report that never had the vehicle, reaches to the next row of the vehicle
    and no further.
    """
    start = opened(visits)
    closed = visits["status"].eq("closed").fillna(False) | (visits["status"].isna() & amount(visits).notna())
    serials = pd.factorize(pd.concat([visits["removed_serial"], visits["fitted_serial"]]).map(folded, na_action="ignore"))[0]
    usable = (start.notna() & visits["vehicle_id"].notna()).to_numpy(bool)
    table = pd.DataFrame({
        "position": np.arange(len(visits)), "vehicle": pd.factorize(visits["vehicle_id"])[0], "shop": pd.factorize(visits["shop"])[0],
        "removed": serials[:len(visits)], "fitted": serials[len(visits):],
        "start": _day_number(start), "release": _day_number(visits["date_out"]),
        "sent_on": visits["action"].eq(SENT_ON).fillna(False).to_numpy(bool), "closed": closed.to_numpy(bool),
    })[usable].sort_values(["vehicle", "start", "release", "position"], kind="stable")
    following = table.groupby("vehicle")["start"].shift(-1) + 1
    assumed = table["start"].where(table["closed"], following.fillna(table["start"]))
    return table.assign(release=table["release"].where(table["release"].notna(), assumed)).reset_index(drop=True)


def _day_number(days: pd.Series) -> pd.Series:
    """Days since 1970-01-01 as float, missing as NaN."""
    return pd.Series((days - pd.Timestamp(0)) / pd.Timedelta(days=1)).reset_index(drop=True)


def _none() -> Links:
    return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
