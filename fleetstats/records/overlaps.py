"""Rows of one vehicle of which the second was opened before the vehicle was released from the first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.exchange import opened
from fleetstats.records.packed import MISSING_DAY, Links, codes, day_numbers, joined, order_of

SENT_ON = "ACT_SENT_ON"
NEVER = -MISSING_DAY
"""A release that is not known: before every day."""


@dataclass(frozen=True)
class _Timeline:
    """Rows with a vehicle and a day in order of vehicle, start and release: arrays of one length.

    position in the visits, vehicle and shop as codes, start and release as day numbers, sent_on.
    """

    position: np.ndarray
    vehicle: np.ndarray
    shop: np.ndarray
    start: np.ndarray
    release: np.ndarray
    sent_on: np.ndarray


def overlapping(visits: pd.DataFrame, money: np.ndarray, days: int) -> Links:
    """Links by time: each row is compared with the 1st, 2nd, ... row after it of its vehicle, as long as those begin within `days`.

    money: amount of each row, NaN for none.
    """
    line = _timeline(visits, money)
    found: list[Links] = []
    one = np.arange(len(line.position))
    for lag in range(1, len(one)):
        one = one[one + lag < len(line.position)]
        one = one[(line.vehicle[one] == line.vehicle[one + lag]) & (line.start[one + lag] - line.start[one] <= days)]
        if not len(one):
            break
        two = one + lag
        inside = (line.start[two] < line.release[one]) | (line.start[two] == line.start[one])
        sent_on = line.sent_on[one] | (line.sent_on[two] & (line.start[two] == line.start[one]))
        linked = inside & ~(sent_on & (line.shop[one] != line.shop[two]))
        found.append((line.position[one[linked]], line.position[two[linked]]))
    return joined(found)


def _timeline(visits: pd.DataFrame, money: np.ndarray) -> _Timeline:
    """The timeline of the visits.

    A closed row without a release day is taken as released on the day it began; closed is what says so, and what was
    billed and says nothing. An open one, or a report that never had the vehicle, begun on the day of a closed one (an
    estimate and its invoice) is released with it; else it reaches to the next row of the vehicle and no further.
    """
    start, release, vehicle = day_numbers(opened(visits)), day_numbers(visits["date_out"]), codes(visits["vehicle_id"])
    closed = visits["status"].eq("closed").fillna(False).to_numpy(bool) | (visits["status"].isna().to_numpy(bool) & ~np.isnan(money))
    usable = np.flatnonzero((start != MISSING_DAY) & (vehicle >= 0))
    # rows of one day stand in an order of what they say, not of where they stand: an open one after the closed ones
    shop, sent_on = np.asarray(pd.factorize(visits["shop"], sort=True)[0], dtype=np.int64), visits["action"].eq(SENT_ON).fillna(False).to_numpy(bool)
    at = usable[order_of(*(key[usable] for key in (vehicle, start, release, ~closed, sent_on, shop)))]
    start, release, vehicle, closed = start[at], release[at], vehicle[at], closed[at]
    followed = np.append(vehicle[1:] == vehicle[:-1], False) if len(at) else np.zeros(0, dtype=bool)
    following = np.where(followed, np.roll(start, -1) + 1, start)
    known = np.where(release != MISSING_DAY, release, np.where(closed, start, NEVER))
    release = np.where(known != NEVER, known, _released_that_day(vehicle, start, known, following))
    return _Timeline(at, vehicle, shop[at], start, release, sent_on[at])


def _released_that_day(vehicle: np.ndarray, start: np.ndarray, known: np.ndarray, otherwise: np.ndarray) -> np.ndarray:
    """Per row the latest release known of a row of its vehicle that began on its day, `otherwise` where none is. Rows in order of vehicle and start."""
    if not len(start):
        return otherwise
    first = np.append(True, (vehicle[1:] != vehicle[:-1]) | (start[1:] != start[:-1]))
    latest = np.maximum.reduceat(known, np.flatnonzero(first))[np.cumsum(first) - 1]
    return np.where(latest != NEVER, latest, otherwise)
