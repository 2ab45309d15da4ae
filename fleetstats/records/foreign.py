"""Numbers in a unit's column that are no unit's: the refrigerator's own serial, or a number of its model."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records import scoring
from fleetstats.records.exchange import in_order_of_exchange
from fleetstats.records.packed import begins, packed, repeated
from fleetstats.records.scoring import Match, match
from fleetstats.records.serials import Forms
from fleetstats.records.spelling import misread_signs

FOREIGN_SHARE = 0.05
"""A pattern is foreign where at most this share of what its serials touch agrees with a chain (an assumption)."""
AGAINST_AT_LEAST = 2
"""... and where at least so many stand against the chain of their vehicle."""
ONE_PAPER = pd.Timedelta(days=60)
"""Estimate and invoice of one exchange lie nearer together (an assumption)."""
VEHICLES_AT_LEAST = 3
"""A number at so many vehicles, in no chain, is no single unit's."""
SERIALS = ["removed_serial", "fitted_serial"]
DAYS = ["complaint_on", "opened_on", "date_in", "date_out"]


def foreign_serials(visits: pd.DataFrame, first_units: np.ndarray, units: np.ndarray, forms: Forms) -> dict[int, Match]:
    """Serials of visits that are no cooling unit's, with how sure that is.

    visits: rows that name a serial: the numbers vehicle_id, removed_serial and fitted_serial, -1 where missing, and the days. first_units: per vehicle
    the unit it came with, -1 where unknown. units: per serial whether it stands in the register, on a bench, in reconditionings and moves; these are
    never foreign. forms: of the serials.
    A unit is fitted before it is removed, so that one exchange puts in what the next takes out. A number that breaks that (it is
    removed where another unit sits, or another unit is removed after it) stands against its chain. Foreign is a number of a pattern
    that only stands against chains; one removed from its vehicle again and again and never fitted; one at many vehicles in no chain.
    """
    put, out = _pairs(visits[(visits["vehicle_id"] >= 0).to_numpy(bool)], first_units)
    alike = _alike(forms, put, out)
    agreeing, doubtful = units.copy(), np.zeros(len(units), dtype=bool)
    agreeing[put[alike]] = True
    for name in SERIALS:
        doubtful[visits.loc[(visits[name] >= 0).to_numpy(bool), name]] = True
    doubtful &= ~agreeing
    against = np.bincount(np.concatenate([put[~alike], out[~alike]]), minlength=len(units)) > 0
    signs = {scoring.FOREIGN: _of_foreign_pattern(forms.shape[forms.place], agreeing, doubtful, against)}
    signs |= {scoring.SEVERAL: signs[scoring.FOREIGN], scoring.STAYS: _never_fitted(visits, len(units)), scoring.MANY: _at_many(visits, len(units))}
    found = np.flatnonzero(doubtful & np.logical_or.reduce(list(signs.values()))).tolist()
    signs[scoring.BREAKS] = against
    return {serial: match([fact for fact, of in signs.items() if of[serial]]) for serial in found}


def _pairs(visits: pd.DataFrame, first_units: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """What one exchange of a vehicle put in, and what the next took out, where both are named; the rows of one exchange once."""
    rows = in_order_of_exchange(visits)[["vehicle_id", *SERIALS]].to_numpy()
    again = np.zeros(len(rows), dtype=bool)
    again[1:] = (rows[1:] == rows[:-1]).all(axis=1)
    vehicle, out, fitted = rows[~again].T
    put = np.concatenate([[-1], fitted])[:len(fitted)]
    first = begins(vehicle)
    put[first] = first_units[vehicle[first]]
    named = (put >= 0) & (out >= 0)
    return put[named], out[named]


def _alike(forms: Forms, one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Where two serials may be one, however misread: letters for digits, lost zeros, one sign otherwise or two turned."""
    a, b = forms.place[one], forms.place[other]
    alike = (forms.folded[a] == forms.folded[b]) | (forms.loose[a] == forms.loose[b])
    alike[~alike] = misread_signs(forms.normal[a[~alike]], forms.normal[b[~alike]])
    return np.asarray(alike)


def _of_foreign_pattern(shape: np.ndarray, agreeing: np.ndarray, doubtful: np.ndarray, against: np.ndarray) -> np.ndarray:
    """Per serial whether its pattern, a number, only stands against chains."""
    good, bad, every = (np.bincount(shape[some], minlength=int(shape.max(initial=-1)) + 1) for some in (agreeing, doubtful & against, doubtful))
    foreign = (bad >= AGAINST_AT_LEAST) & (good <= FOREIGN_SHARE * (good + every)) & (2 * bad >= every)
    return np.asarray(foreign[shape])


def _never_fitted(visits: pd.DataFrame, serials: int) -> np.ndarray:
    """Per serial whether it is fitted nowhere and removed from one vehicle at three exchanges of different units, far enough apart to be no papers of one.

    Twice would not do: a unit whose columns were swapped when it was fitted is removed twice.
    """
    fitted = np.zeros(serials + 1, dtype=bool)
    fitted[visits["fitted_serial"]] = True
    numbers = visits[["vehicle_id", *SERIALS]]
    taken = visits[(numbers >= 0).all(axis=1).to_numpy(bool) & ~fitted[visits["removed_serial"]]]
    # of most there is one row, which need not be asked
    taken = taken[repeated(packed(taken["vehicle_id"], taken["removed_serial"]))]
    days = taken["date_in"].fillna(taken["opened_on"]).fillna(taken["date_out"])
    by = taken.assign(day=days).dropna(subset="day").groupby(["vehicle_id", "removed_serial"])
    apart = by["day"].max() - by["day"].min()
    again = apart[(apart > ONE_PAPER) & (by["fitted_serial"].nunique() > 2)]
    stays = np.zeros(serials, dtype=bool)
    stays[again.index.get_level_values("removed_serial")] = True
    return stays


def _at_many(visits: pd.DataFrame, serials: int) -> np.ndarray:
    """Per serial whether it is at `VEHICLES_AT_LEAST` vehicles or more."""
    vehicle, serial = np.tile(visits["vehicle_id"], len(SERIALS)), np.concatenate([visits[name] for name in SERIALS])
    named = (vehicle >= 0) & (serial >= 0)
    first = np.unique(packed(vehicle[named], serial[named]), return_index=True)[1]
    return np.asarray(np.bincount(serial[named][first], minlength=serials) >= VEHICLES_AT_LEAST)
