"""Spend by quarter in constant money, and which quarters the sources cover whole."""

from __future__ import annotations

import pandas as pd

from fleetstats.money import Money, to_constant
from fleetstats.settings import Settings

COLUMNS = ["quarter", "price_basis", "spend", "visits", "complete"]


def spend_by_quarter(visits: pd.DataFrame, shops: pd.DataFrame, settings: Settings, money: Money | None) -> pd.DataFrame:
    """What refrigerator visits cost the fleet, one row per quarter (and per currency and year where `money` is missing).

    visits, shops: canonical tables; visits another party paid for are left out. Columns quarter, price_basis, spend, visits, complete.
    Raises InputRefused where money.toml lacks a month that is needed.
    """
    paid = visits[visits["total_cost"].notna() & visits["price_basis"].notna() & visits["payer"].fillna("fleet").eq("fleet")].copy()
    paid["day"] = paid["date_out"].fillna(paid["date_in"]).fillna(paid["opened_on"])
    paid = paid[paid["day"].notna()]
    if paid.empty:
        return pd.DataFrame({name: pd.Series(dtype="object") for name in COLUMNS})
    paid["quarter"] = paid["day"].dt.to_period("Q")
    paid["total_cost"], paid["price_basis"] = _stated(paid, settings, money)
    table = paid.groupby(["price_basis", "quarter"], as_index=False).agg(spend=("total_cost", "sum"), visits=("visit_id", "count"))
    table["complete"] = _complete(table["quarter"], shops[shops["shop"].isin(paid["shop"].dropna())], settings)
    table["quarter"] = [f"{quarter.year}-Q{quarter.quarter}" for quarter in table["quarter"]]
    return table[COLUMNS]


def _stated(paid: pd.DataFrame, settings: Settings, money: Money | None) -> tuple[pd.Series, pd.Series]:
    """Amounts and their basis: one constant currency with `money`, else each in its own currency of its own month."""
    if money is None:
        own = paid["price_basis"].astype("string")
        return paid["total_cost"], own.str.slice(0, 3) + " money of each month " + own.str.split(" ").str[-1]
    amounts = to_constant(paid["total_cost"], paid["price_basis"], money, to=settings.currency, at=settings.money_month)
    tax = str(paid["price_basis"].iloc[0]).split()[-1]
    return amounts, pd.Series(f"{settings.currency} {settings.money_month} {tax}", index=paid.index, dtype="string")


def _complete(quarters: pd.Series, shops: pd.DataFrame, settings: Settings) -> pd.Series:
    """True where the quarter has ended by as_of and every shop's records cover it whole; no stated coverage counts as whole."""
    starts = pd.to_datetime(quarters.dt.start_time.dt.normalize())
    ends = pd.to_datetime(quarters.dt.end_time.dt.normalize())
    whole: pd.Series = ends <= pd.Timestamp(settings.as_of)
    for first in shops["covers_from"].dropna():
        whole &= starts >= first
    for last in shops["covers_to"].dropna():
        whole &= ends <= last
    return whole
