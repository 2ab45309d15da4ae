"""Where a visit stands: over, open, or neither by the rule that tells which visits are open."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd

from fleetstats.records.facts import amount
from fleetstats.settings import Settings


def closed(visits: pd.DataFrame) -> pd.Series:
    """Visits that are over: called closed, released, or billed and not called open."""
    return visits["status"].eq("closed").fillna(False) | visits["date_out"].notna() | (visits["status"].isna() & billed(visits))


def billed(visits: pd.DataFrame) -> pd.Series:
    """Visits with any amount."""
    return pd.Series(~np.isnan(amount(visits)), index=visits.index)


def still_open(visits: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """The visits open at as_of: said to be open, or without a stated status, not released, and come in within `same_fault_days`."""
    stated = visits["status"].eq("open").fillna(False).astype(bool)
    recent = visits["date_in"] >= pd.Timestamp(settings.as_of - dt.timedelta(days=settings.windows.same_fault_days))
    return visits[stated | (visits["status"].isna() & visits["date_out"].isna() & recent)]


def left_hanging(visits: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """The visits that are neither over nor open: no state, no release and no amount, and come in earlier than that, or on no day that is told."""
    return visits[~closed(visits) & ~visits.index.isin(still_open(visits, settings).index)]


def why_not_open(settings: Settings) -> str:
    """Why those are not taken as open, in words."""
    days = settings.windows.same_fault_days
    first = settings.as_of - dt.timedelta(days=days)
    return f"no state, release or amount is recorded, and they came in before {first}, more than {days} days ago, or on no stated day"
