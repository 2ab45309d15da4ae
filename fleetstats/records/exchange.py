"""Which visits took a unit out or put one in."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.packed import day_numbers, order_of

OWN_UNIT = ("own unit put back", "own unit reconditioned")
"""Origins that name the unit the vehicle came in with."""


def is_exchange(visits: pd.DataFrame) -> pd.Series:
    """True where a unit or a whole refrigerator was removed or fitted: something fitted is named, or a reason of removal."""
    return visits["fitted_kind"].notna() | visits["fitted_serial"].notna() | visits["removal_reason"].notna()


def day_of(visits: pd.DataFrame, *columns: str) -> pd.Series:
    """The first known date of `columns`, in that order, per row."""
    days = visits[columns[0]]
    for column in columns[1:]:
        days = days.where(days.notna(), visits[column])
    return days


def opened(visits: pd.DataFrame) -> pd.Series:
    """Day a visit began: order opened, else vehicle in, else complaint, else release."""
    return day_of(visits, "opened_on", "date_in", "complaint_on", "date_out")


def removed_on(visits: pd.DataFrame) -> pd.Series:
    """Day from which the old unit no longer served: vehicle in, else order opened, else release."""
    return day_of(visits, "date_in", "opened_on", "date_out", "complaint_on")


def in_order_of_exchange(visits: pd.DataFrame) -> pd.DataFrame:
    """Visits by vehicle, removal and fitting; those of one day in the order in which they stand."""
    vehicle, names = pd.factorize(visits["vehicle_id"], sort=True)
    days = (day_numbers(day(visits)) for day in (removed_on, fitted_on, opened))
    return visits.take(order_of(np.where(vehicle < 0, len(names), vehicle), *days))


def fitted_on(visits: pd.DataFrame) -> pd.Series:
    """Day the fitted unit began to serve: release, else the day the vehicle came in."""
    return day_of(visits, "date_out", "date_in", "opened_on", "complaint_on")
