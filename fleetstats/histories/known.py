"""What was known at `as_of`, and the days of a visit that histories count by."""

from __future__ import annotations

import pandas as pd

from fleetstats.records.exchange import day_of, fitted_on, in_order_of_exchange, is_exchange, opened, removed_on
from fleetstats.vocabulary import symptom_group

DAYS_PER_YEAR = 365.25
COOLING_GROUPS = ("no cooling", "weak")
COOLING_CODES = ("SYM_INTERMIT",)
"""Complaints about cooling beyond those groups: cools off and on."""


def known_visits(visits: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """Visits known by `as_of` that name a vehicle and a day, in order of vehicle and day.

    Known is what was reported by then; a row that does not say when it was reported is known from its last day on. A visit
    whose days lie after `as_of` has not begun, whenever it was reported: it is a booking or a mistyped year.
    Adds: start (day it began), removed_on, fitted_on, complaint (first known day of the fault), exchange, group (of the symptom).
    """
    reported = day_of(visits, "reported_on", "date_out", "date_in", "opened_on", "complaint_on")
    begun = (opened(visits) <= as_of) & (removed_on(visits) <= as_of)
    kept = in_order_of_exchange(visits[((reported <= as_of) & begun & visits["vehicle_id"].notna()).to_numpy(bool)]).reset_index(drop=True)
    complaint = day_of(kept, "complaint_on", "opened_on", "date_in", "date_out")
    out = kept.assign(start=opened(kept), removed_on=removed_on(kept), fitted_on=fitted_on(kept), exchange=is_exchange(kept), group=groups_of(kept["symptom"]))
    return out.assign(complaint=complaint.where(complaint <= out["removed_on"], out["removed_on"]))


def groups_of(symptoms: pd.Series) -> pd.Series:
    """The symptom group of complaint codes; missing where the vocabulary does not know the code."""
    return symptoms.map({code: _group(code) for code in symptoms.dropna().unique()}).astype("string")


def _group(code: str) -> str | None:
    try:
        return symptom_group(code)
    except KeyError:
        return None


def is_cooling_complaint(visits: pd.DataFrame) -> pd.Series:
    """True where the complaint was about cooling: no cooling, weak (box warm, slow, poor in heat), off and on."""
    return visits["group"].isin(COOLING_GROUPS) | visits["symptom"].isin(COOLING_CODES)


def years_between(first: pd.Series | pd.Timestamp, last: pd.Series) -> pd.Series:
    """Years of 365.25 days from `first` to `last`, missing as NaN."""
    days: pd.Series = (last - first).dt.days.astype("float64")
    return days / DAYS_PER_YEAR
