"""`calendar.toml`: what a day out of service costs at a depot, by calendar month; and the days themselves."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd
from pydantic import Field, field_validator
from scipy.stats import norm

from fleetstats.decision.prices import Priced
from fleetstats.documents import Document, read_document
from fleetstats.errors import InputRefused, Problem
from fleetstats.money import Money, factor_to_constant, one_basis
from fleetstats.settings import Settings
from fleetstats.tables import CALENDAR

Floats = npt.NDArray[np.float64]


class Depot(Priced):
    """One depot: twelve months from January of share rented, margin of a rented day, share of lost days another vehicle covers."""

    depot: str
    share_rented: list[float]
    daily_margin: list[float]
    substitutable_share: list[float]

    @field_validator("share_rented", "daily_margin", "substitutable_share")
    @classmethod
    def _twelve(cls, value: list[float]) -> list[float]:
        if len(value) != 12:
            raise ValueError(f"{len(value)} numbers where twelve months are wanted")
        if min(value) < 0:
            raise ValueError("a number below 0")
        return value

    @field_validator("share_rented", "substitutable_share")
    @classmethod
    def _shares(cls, value: list[float]) -> list[float]:
        if max(value) > 1:
            raise ValueError("a share above 1")
        return value


class _File(Document):
    depot: list[Depot] = Field(min_length=1)


def read_calendar(path: Path, settings: Settings, money: Money | None = None) -> pd.DataFrame:
    """The rental calendar as the canonical table, margins in constant money of the report."""
    file = read_document(path, _File)
    return CALENDAR.check(pd.concat([_rows(depot, settings, money) for depot in file.depot], ignore_index=True))


def _rows(depot: Depot, settings: Settings, money: Money | None) -> pd.DataFrame:
    factor = factor_to_constant(depot.currency, depot.price_month, money, to=settings.currency, at=settings.money_month)
    return pd.DataFrame({
        "depot": depot.depot, "month": range(1, 13), "share_rented": depot.share_rented, "daily_margin": np.array(depot.daily_margin) * factor,
        "substitutable_share": depot.substitutable_share, "price_basis": f"{settings.currency} {settings.money_month} net",
    })


def cost_of_a_day(calendar: pd.DataFrame, depot: str | None, settings: Settings) -> Floats | None:
    """(12,) expected margin lost by a day out of service in each calendar month; None when the calendar lacks a month of the depot.

    Raises InputRefused when the calendar holds two price bases or another one than the report's.
    """
    rows = calendar[(calendar["depot"] == depot).fillna(False).astype(bool)].sort_values("month")
    if rows["month"].tolist() != list(range(1, 13)):
        return None
    basis, wanted = one_basis(rows["price_basis"], table="calendar"), f"{settings.currency} {settings.money_month} net"
    if str(basis) != wanted:
        remedy = "Read it with read_calendar, which states it in the money of the report."
        raise InputRefused(Problem(what="the calendar is in other money than the report", found=str(basis), wanted=wanted, remedy=remedy))
    covered = 1 - rows["substitutable_share"].fillna(0.0)
    return np.asarray((rows["share_rented"] * rows["daily_margin"] * covered).to_numpy(float))


def days_from(start: dt.date, count: int, by_month: Floats) -> Floats:
    """(count,) cost of each day from `start` on."""
    months = pd.date_range(start, periods=count, freq="D").month.to_numpy()
    return np.asarray(by_month[months - 1])


def cells_from(start: dt.date, count: int, by_month: Floats) -> Floats:
    """(count,) cost of a day in each month-long cell from `start` on: that of the month in which the cell's middle lies."""
    middle = start.month - 1 + (start.day - 1) / 31 + 0.5 + np.arange(count)
    return np.asarray(by_month[middle.astype(int) % 12])


def still_down(p_in_stock: float, days_in_stock: float, days_out: float, days_out_sd: float) -> Floats:
    """P(still out of service on day k), k = 0, 1, ...: a fixed lead from the shelf, a lognormal one (mean, SD) when it must be ordered."""
    last = int(np.ceil(max(days_in_stock, (days_out + 6 * days_out_sd) if p_in_stock < 1 else 0.0))) + 1
    day = np.arange(last)
    shelf = np.clip(days_in_stock - day, 0.0, 1.0)
    if p_in_stock == 1 or days_out == 0:
        return np.asarray(p_in_stock * shelf)
    if days_out_sd == 0:
        return np.asarray(p_in_stock * shelf + (1 - p_in_stock) * np.clip(days_out - day, 0.0, 1.0))
    spread = np.sqrt(np.log1p((days_out_sd / days_out) ** 2))
    ordered = norm.sf((np.log(np.maximum(day, 1e-9)) - np.log(days_out) + spread**2 / 2) / spread)
    return np.asarray(p_in_stock * shelf + (1 - p_in_stock) * ordered)


def downtime_cost(down: Floats, day_cost: Floats) -> float:
    """Expected margin lost: for each day, P(still out of service) times what that day costs. down, day_cost: (days,)."""
    return float(down @ day_cost)
