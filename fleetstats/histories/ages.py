"""Population and age of the unit of every stay."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.histories.known import years_between
from fleetstats.histories.stays import NEW_AGAIN
from fleetstats.records.stacking import texts


@dataclass(frozen=True)
class Ages:
    """origin: population per stay. years: age when fitted. known: whether that age is known."""

    origin: np.ndarray
    years: np.ndarray
    known: np.ndarray


def ages(stays: pd.DataFrame) -> Ages:
    """Population and age when fitted. stays: with `serial`, in order of vehicle and installation.

    New and reconditioned units begin at 0. A unit put back as it was goes on at the age it had when it was removed (time on
    the shelf does not age), known by its serial or, for the vehicle's own unit, by the stay before. A first unit has the age
    since it was made. Everything else is of unknown origin and age.
    """
    origin = stays["fitted_origin"].map(NEW_AGAIN).fillna("unknown").to_numpy(object)
    fresh = years_between(stays["made"], stays["installed"]).clip(lower=0).to_numpy()
    first = stays["first"].to_numpy(bool)
    known = np.where(first, ~np.isnan(fresh), origin != "unknown")
    years = np.where(first & known, fresh, 0.0)
    _carry(stays, origin, years, known)
    return Ages(origin, years, known)


def _carry(stays: pd.DataFrame, origin: np.ndarray, years: np.ndarray, known: np.ndarray) -> None:
    """Hand population and age on to stays of units put back as they were, in order of time."""
    length = years_between(stays["installed"], stays["ended"]).to_numpy()
    since = years_between(stays["installed"].min(), stays["installed"]).to_numpy()
    serials = texts(stays["serial"])
    said, vehicle = stays["fitted_origin"].to_numpy(object), stays["vehicle_id"].to_numpy(object)
    order = stays.sort_values(["installed", "ended"], kind="stable").index.to_numpy()
    latest: dict[str, int] = {}
    for at in order:
        before = latest.get(serials[at]) if serials[at] is not None else None
        if said[at] == "own unit put back" and at > 0 and vehicle[at - 1] == vehicle[at]:
            before = at - 1
        if said[at] in ("own unit put back", "used, tested healthy") and before is not None:
            origin[at], known[at] = origin[before], known[before]
            # a serial that sits in two vehicles at once has not aged beyond the day it was fitted to the second one
            years[at] = years[before] + min(length[before], since[at] - since[before]) if known[before] else 0.0
        if serials[at] is not None:
            latest[serials[at]] = at
