"""Rows of one vehicle of which the second was opened before the vehicle was released from the first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.facts import Facts
from fleetstats.records.packed import MISSING_DAY, Links, begins, day_numbers, joined, order_of, packed, repeated

SENT_ON = "ACT_SENT_ON"
NEVER = -MISSING_DAY
"""A release that is not known: before every day."""


@dataclass(frozen=True)
class _Timeline:
    """Rows with a vehicle and a day in order of vehicle, start and release: arrays of one length.

    position in the visits, vehicle as code, start and release as day numbers.
    """

    position: np.ndarray
    vehicle: np.ndarray
    start: np.ndarray
    release: np.ndarray


def overlapping(visits: pd.DataFrame, facts: Facts, usable: np.ndarray, days: int) -> Links:
    """Links by time: each row is compared with the 1st, 2nd, ... row after it of its vehicle, as long as those begin within `days`.

    usable: the rows looked at (boolean).
    """
    line = _timeline(visits, facts, usable)
    found: list[Links] = []
    one = np.arange(len(line.position))
    for lag in range(1, len(one)):
        one = one[one + lag < len(line.position)]
        one = one[(line.vehicle[one] == line.vehicle[one + lag]) & (line.start[one + lag] - line.start[one] <= days)]
        if not len(one):
            break
        two = one + lag
        inside = (line.start[two] < line.release[one]) | (line.start[two] == line.start[one])
        found.append(_at_one_shop(visits, line, one[inside], two[inside]))
    return joined(found)


def _at_one_shop(visits: pd.DataFrame, line: _Timeline, one: np.ndarray, two: np.ndarray) -> Links:
    """Positions of the rows `one` and `two` of the timeline, without those of two shops of which one sent the vehicle on."""
    first, second = line.position[one], line.position[two]
    sent_on = _says(visits, "action", SENT_ON, first) | (_says(visits, "action", SENT_ON, second) & (line.start[two] == line.start[one]))
    shop = _shops(visits, np.append(first, second))
    linked = ~(sent_on & (shop[:len(first)] != shop[len(first):]))
    return first[linked], second[linked]


def _says(visits: pd.DataFrame, column: str, text: str, where: np.ndarray) -> np.ndarray:
    return np.asarray(visits[column].iloc[where].eq(text).fillna(False), dtype=bool)


def _shops(visits: pd.DataFrame, where: np.ndarray) -> np.ndarray:
    """Shops of the rows `where` as numbers in the order of their names, -1 for none."""
    return np.asarray(pd.factorize(visits["shop"].iloc[where], sort=True)[0], dtype=np.int64)


def _timeline(visits: pd.DataFrame, facts: Facts, usable: np.ndarray) -> _Timeline:
    """The timeline of the rows that are usable.

    A closed row without a release day is taken as released on the day it began. An open one, or a report that never had
    the vehicle, begun on the day of a closed one (an estimate and its invoice) is released with it; else it reaches to
    the next row of the vehicle and no further.
    """
    where = np.flatnonzero(usable & (facts.begun != MISSING_DAY) & (facts.vehicle >= 0))
    out = day_numbers(visits["date_out"])
    key = packed(facts.vehicle[where], facts.begun[where], out[where])
    order = np.argsort(key, kind="stable")
    at = _as_they_say(visits, facts, where[order], key[order])
    start, release, vehicle = facts.begun[at], out[at], facts.vehicle[at]
    unreleased = np.flatnonzero(release == MISSING_DAY)
    shut = _closed(visits, facts, at[unreleased])
    known = release.copy()
    known[unreleased] = np.where(shut, start[unreleased], NEVER)
    if not shut.all():
        followed = np.append(vehicle[1:] == vehicle[:-1], False)
        following = np.where(followed, np.roll(start, -1) + 1, start)
        known = np.where(known != NEVER, known, _released_that_day(vehicle, start, known, following))
    return _Timeline(at, vehicle, start, known)


def _as_they_say(visits: pd.DataFrame, facts: Facts, at: np.ndarray, key: np.ndarray) -> np.ndarray:
    """`at` with rows of one key in an order of what they say, not of where they stand: an open one after the closed ones. key: ascending."""
    tied = np.flatnonzero(repeated(key))
    rows = at[tied]
    ordered = at.copy()
    ordered[tied] = rows[order_of(key[tied], ~_closed(visits, facts, rows), _says(visits, "action", SENT_ON, rows), _shops(visits, rows))]
    return ordered


def _closed(visits: pd.DataFrame, facts: Facts, where: np.ndarray) -> np.ndarray:
    """Which of the rows `where` are closed: what says so, and what was billed and says nothing."""
    status = visits["status"].iloc[where]
    return np.asarray(_says(visits, "status", "closed", where) | (status.isna().to_numpy(bool) & ~np.isnan(facts.money[where])))


def _released_that_day(vehicle: np.ndarray, start: np.ndarray, known: np.ndarray, otherwise: np.ndarray) -> np.ndarray:
    """Per row the latest release known of a row of its vehicle that began on its day, `otherwise` where none is. Rows in order of vehicle and start."""
    first = begins(vehicle, start)
    latest = np.maximum.reduceat(known, np.flatnonzero(first))[np.cumsum(first) - 1]
    return np.where(latest != NEVER, latest, otherwise)
