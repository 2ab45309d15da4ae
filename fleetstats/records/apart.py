"""What no event may hold together: two vehicles, or two exchanges of different units, however they are linked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.packed import Links, codes, grouped, packed, pairs_within, repeated
from fleetstats.records.spelling import folded


@dataclass(frozen=True)
class _Names:
    """Codes of what rows name, -1 for nothing: vehicle, removed and fitted unit. Letters read for digits are digits."""

    vehicle: np.ndarray
    removed: np.ndarray
    fitted: np.ndarray

    def at(self, where: np.ndarray) -> _Names:
        """The same of the rows `where`."""
        return _Names(self.vehicle[where], self.removed[where], self.fitted[where])


def kept_apart(visits: pd.DataFrame, links: Links, groups: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """`groups` with those split that hold what cannot be one event, and which rows were left apart for it (boolean).

    links: the links that made the groups. Rows that contradict each other keep the rows that are linked to one of them
    alone; a row linked to several of them could belong to either and is left apart with what hangs on it.
    """
    doubtful = np.zeros(len(groups), dtype=bool)
    company = np.flatnonzero(repeated(groups))
    if not len(company):
        return groups, doubtful
    names = _names(visits.iloc[company])
    against = _contradicting(groups[company], names)
    if not against.any():
        return groups, doubtful
    split = company[np.isin(groups[company], groups[company[against]])]
    inside = np.searchsorted(split, links[0][np.isin(links[0], split)]), np.searchsorted(split, links[1][np.isin(links[0], split)])
    part, left = _parted(names.at(np.searchsorted(company, split)), against[np.searchsorted(company, split)], inside)
    doubtful[split] = left
    parted = groups.copy()
    parted[split] = len(groups) + part
    return parted, doubtful


def _names(rows: pd.DataFrame) -> _Names:
    units = codes(pd.concat([rows["removed_serial"], rows["fitted_serial"]], ignore_index=True), folded)
    return _Names(codes(rows["vehicle_id"]), units[:len(rows)], units[len(rows):])


def _contradict(one: _Names, two: _Names) -> np.ndarray:
    """True where two rows name two vehicles, or exchanges of different units.

    Exchanges differ when they name different units in one place and agree in the other neither; a row whose units are all
    named by the other, in whatever place, is the same exchange with its columns swapped.
    """
    vehicles = (one.vehicle >= 0) & (two.vehicle >= 0) & (one.vehicle != two.vehicle)
    named = [(a >= 0) & (b >= 0) for a, b in ((one.removed, two.removed), (one.fitted, two.fitted))]
    same = [one.removed == two.removed, one.fitted == two.fitted]
    differ = (named[0] & ~same[0]) | (named[1] & ~same[1])
    agree = (named[0] & same[0]) | (named[1] & same[1])
    return np.asarray(np.logical_or(vehicles, differ & ~agree & ~_within(one, two) & ~_within(two, one)))


def _within(one: _Names, two: _Names) -> np.ndarray:
    """True where every unit that `one` names is named by `two`."""
    removed = (one.removed < 0) | (one.removed == two.removed) | (one.removed == two.fitted)
    return np.asarray(np.logical_and(removed, (one.fitted < 0) | (one.fitted == two.removed) | (one.fitted == two.fitted)))


def _contradicting(groups: np.ndarray, names: _Names) -> np.ndarray:
    """True for rows that contradict another row of their group. Rows that name the same are compared once."""
    kind = np.unique(packed(groups, names.vehicle, names.removed, names.fitted), return_inverse=True)[1]
    first = np.unique(kind, return_index=True)[1]
    against = np.zeros(len(first), dtype=bool)
    for one, two in pairs_within(groups[first]):
        bad = _contradict(names.at(first[one]), names.at(first[two]))
        against[one[bad]] = against[two[bad]] = True
    return against[kind]


def _parted(names: _Names, against: np.ndarray, links: Links) -> tuple[np.ndarray, np.ndarray]:
    """Group numbers of rows, and which were left apart. against: rows that contradict another; they are what the others join."""
    one, two = links
    both = against[one] & against[two]
    sound = both & ~_contradict(names.at(one), names.at(two))
    events = grouped(len(against), (one[sound], two[sound]))
    torn = against & _contradicting(events, names)
    events = np.where(torn, len(against) + np.arange(len(against)), events)
    free = ~against[one] & ~against[two]
    blocks = grouped(len(against), (one[free], two[free]))
    touching = against[one] != against[two]
    loose, held = np.where(against[one], two, one)[touching], np.where(against[one], one, two)[touching]
    touched = pd.DataFrame({"block": blocks[loose], "event": events[held]}).drop_duplicates()
    single = touched[~touched["block"].duplicated(keep=False)]
    # a block takes the number of the one event it touches, else one of its own
    number = np.full(len(against), -1, dtype=np.int64)
    number[single["block"]] = single["event"]
    own = np.where(against, events, number[blocks])
    own = np.where(own < 0, 2 * len(against) + blocks, own)
    undecided = touched.loc[touched["block"].duplicated(), "block"]
    return own, torn | (~against & np.isin(blocks, undecided))
