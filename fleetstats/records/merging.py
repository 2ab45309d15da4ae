"""Which rows are one event: copies first, then links between the rows that remain, and the groups they make."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.apart import kept_apart
from fleetstats.records.exchange import opened
from fleetstats.records.overlaps import overlapping
from fleetstats.records.packed import Links, codes, day_numbers, document_form, grouped, joined, neighbours, packed, pairs_within, repeated
from fleetstats.records.reasons import COPIED_FILE, EXACT_COPY
from fleetstats.records.stacking import taken, texts

MONEY = ["parts_cost", "labour_cost", "other_cost", "total_cost"]
MAY_DIFFER = ["file", "sheet", "row", "sha256", "source", "reason", "reported_on", "at"]
"""Columns in which copies of a row may differ."""


LINKING = [
    "vehicle_id", "shop", "document", "complaint_on", "opened_on", "date_in", "date_out", "status", "action", "removed_serial", "fitted_serial", *MONEY,
]
"""Columns that say whether rows are one event."""


@dataclass(frozen=True)
class Events:
    """Rows of visits as events, one entry per row.

    groups: number of the event. original: position of the row it repeats, its own where it repeats none.
    repeats: code of the repetition, "" for none. doubtful: could belong to two different events, and was left apart from both.
    """

    groups: np.ndarray
    original: np.ndarray
    repeats: np.ndarray
    doubtful: np.ndarray


def event_groups(visits: pd.DataFrame, days: int) -> Events:
    """Rows of visits that are one event.

    visits: typed rows with vehicle numbers of the register, by address, positions as index. days: `duplicate_days`.
    Two rows are one event when one is a copy of the other, when they share document, amount and a date, or when the
    second was opened before the vehicle was released from the first, at most `days` after it. A row whose action is
    that the vehicle was sent on is never one event with another shop's. Rows opened after the release stay apart.
    No event holds two exchanges of different units or two vehicles: what could join them stands apart (see `apart`).
    """
    original, repeats = repetitions(visits)
    kept = np.flatnonzero(repeats == "")
    once = pd.DataFrame({name: visits[name].array.take(kept) for name in LINKING}, copy=False)
    links = joined([_same_document(once), overlapping(once, amount(once), days)])
    labels, doubtful = kept_apart(once, links, grouped(len(once), links))
    position = np.empty(len(visits), dtype=np.int64)
    position[kept] = np.arange(len(kept))
    first = position[original]
    return Events(labels[first], original, repeats, doubtful[first])


def repetitions(visits: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Position of the first of the rows that each repeats, and the code of the repetition.

    A row that names neither a day nor a vehicle or a document is no copy of another: two of them may be two vehicles.
    """
    days = day_numbers(opened(visits))
    identified = opened(visits).notna() & (visits["vehicle_id"].notna() | visits["document"].notna())
    likely = identified.to_numpy(bool) & repeated(packed(codes(visits["vehicle_id"]), days, np.nan_to_num(amount(visits) * 100, nan=-1).astype(np.int64)))
    same, same_file = copies(visits, pd.Series(likely, index=visits.index)), copied_files(visits)
    groups = grouped(len(visits), joined([same, same_file]))
    original = np.full(len(visits), len(visits), dtype=np.int64)
    np.minimum.at(original, groups, np.arange(len(visits)))
    repeats = np.full(len(visits), "", dtype=object)
    repeats[same[1]] = EXACT_COPY
    repeats[same_file[1]] = COPIED_FILE
    original = original[groups]
    first = original == np.arange(len(visits))
    repeats[~first & (repeats == "")] = COPIED_FILE
    repeats[first] = ""
    return original, repeats


def equal_keys(keys: pd.DataFrame, usable: pd.Series) -> Links:
    """Links between rows that agree in every column of `keys` (missing agrees with missing), where `usable`: each to the next by position."""
    where = np.flatnonzero(usable.to_numpy(bool))
    if len(where) < 2:
        return joined([])
    one = keys if len(where) == len(keys) else keys.take(where)
    twice = one.duplicated(keep=False).to_numpy(bool)
    where = where[twice]
    if not len(where):
        return joined([])
    # every column is a text, a number or a day; codes make them comparable at once
    key = packed(*(codes(one.loc[twice, name]) for name in one.columns))
    first, second = neighbours(key, np.arange(len(where)))
    return where[first], where[second]


def copies(rows: pd.DataFrame, usable: pd.Series) -> Links:
    """Links between rows that agree in everything they say, where `usable`."""
    where = np.flatnonzero(usable.to_numpy(bool))
    said = taken(rows, where).drop(columns=[name for name in MAY_DIFFER if name in rows])
    first, second = equal_keys(said, pd.Series(True, index=said.index))
    return where[first], where[second]


def agreeing(links: Links, column: pd.Series) -> Links:
    """The links whose two rows do not differ in `column`; missing agrees with everything."""
    said = texts(column.iloc[np.concatenate(links)])
    first, second = said[:len(links[0])], said[len(links[0]):]
    agree = [a is None or b is None or a == b for a, b in zip(first, second, strict=True)]
    return links[0][agree], links[1][agree]


def copied_files(rows: pd.DataFrame) -> Links:
    """Links between rows that stand at one place of files with the same bytes."""
    files = rows[["file", "sha256"]].drop_duplicates()
    twice = files["sha256"].duplicated(keep=False)
    return equal_keys(rows[["sha256", "sheet", "row"]], rows["sha256"].isin(files.loc[twice, "sha256"]))


def amount(visits: pd.DataFrame) -> np.ndarray:
    """The money of each row: its total, else the sum of its parts; NaN when it names none."""
    parts = visits[MONEY[:3]].to_numpy(np.float64)
    named = np.where(np.isnan(parts).all(axis=1), np.nan, np.nansum(parts, axis=1))
    total = visits["total_cost"].to_numpy(np.float64)
    return np.round(np.where(np.isnan(total), named, total), 2)


def _same_document(visits: pd.DataFrame) -> Links:
    """Links between rows that share document, amount and a date: of opening, arrival or release."""
    money = amount(visits)
    usable = visits["document"].notna().to_numpy(bool) & ~np.isnan(money)
    cents = np.where(usable, np.round(np.nan_to_num(money) * 100), 0).astype(np.int64)
    vehicle = codes(visits["vehicle_id"])
    found = [_of_one_day(visits["document"], cents, vehicle, days, usable) for days in (opened(visits), visits["date_in"], visits["date_out"])]
    return joined(found)


def _of_one_day(documents: pd.Series, cents: np.ndarray, vehicle: np.ndarray, days: pd.Series, usable: np.ndarray) -> Links:
    where = np.flatnonzero(usable & days.notna().to_numpy(bool))
    # texts are compared only where amount and day already agree
    where = where[repeated(packed(cents[where], day_numbers(days.iloc[where])))]
    if not len(where):
        return joined([])
    key = packed(codes(document_form(documents.iloc[where])), cents[where], day_numbers(days.iloc[where]))
    within = joined(list(pairs_within(packed(key, vehicle[where]))))
    links = joined([within, _to_every_vehicle(key, vehicle[where])])
    return where[links[0]], where[links[1]]


def _to_every_vehicle(key: np.ndarray, vehicle: np.ndarray) -> Links:
    """Links from rows that name no vehicle to those that name one and have their key."""
    nameless, named = np.flatnonzero(vehicle < 0), np.flatnonzero(vehicle >= 0)
    one = pd.DataFrame({"key": key[nameless], "one": nameless}).merge(pd.DataFrame({"key": key[named], "two": named}), on="key")
    return one["one"].to_numpy(np.int64), one["two"].to_numpy(np.int64)
