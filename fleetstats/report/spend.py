"""Spend by quarter and by fiscal year in constant money, and which of them the sources cover whole."""

from __future__ import annotations

import calendar

import pandas as pd

from fleetstats.money import Money, to_constant
from fleetstats.records import total_or_parts, without_total
from fleetstats.settings import Settings

COLUMNS = ["period", "price_basis", "spend", "visits", "complete"]


def with_shares(visits: pd.DataFrame, payments: pd.DataFrame) -> pd.DataFrame:
    """The visits with their amount as their total: what the file states, else the sum of the parts it states.

    Those that several paid have the fleet's share as their total and the fleet as payer; a share without a payer is the fleet's.
    """
    own = payments[payments["payer"].fillna("fleet").eq("fleet")].groupby("visit_id")["total_cost"].sum()
    several = visits["payer"].eq("several").fillna(False).astype(bool)
    share = visits["visit_id"].map(own).astype("float64")
    amounts = pd.Series(total_or_parts(visits), index=visits.index)
    return visits.assign(total_cost=amounts.where(~several, share), payer=visits["payer"].mask(several, "fleet"))


def totals_summed(visits: pd.DataFrame) -> int:
    """Of how many of the visits in the spend the total is the sum of their parts, because the file states none."""
    return int((without_total(visits) & _by_fleet(visits)).sum())


def _by_fleet(visits: pd.DataFrame) -> pd.Series:
    """Visits of stated currency that the fleet paid for alone; an unnamed payer is the fleet."""
    return visits["price_basis"].notna() & visits["payer"].fillna("fleet").eq("fleet")


def spend_by_quarter(visits: pd.DataFrame, covered: pd.DataFrame, settings: Settings, money: Money | None) -> pd.DataFrame:
    """What refrigerator visits cost the fleet, one row per quarter (and per currency and year where `money` is missing).

    visits: canonical table; visits another party paid for are left out. covered: days by shop, as `coverage` gives them.
    Columns quarter, price_basis, spend, visits, complete.
    Raises InputRefused where money.toml lacks a month that is needed.
    """
    table = _by_period(visits, covered, settings, money, "Q")
    table["period"] = [f"{quarter.year}-Q{quarter.quarter}" for quarter in table["period"]]
    return table.rename(columns={"period": "quarter"})


def spend_by_fiscal_year(visits: pd.DataFrame, covered: pd.DataFrame, settings: Settings, money: Money | None) -> pd.DataFrame:
    """The same per fiscal year, named by its first day's and its last day's year: 2025, or 2025/26 where it begins in another month than January.

    The month is `fiscal_year_starts` of fleetstats.toml. Columns year, price_basis, spend, visits, complete.
    """
    last = calendar.month_abbr[(settings.fiscal_year_starts - 2) % 12 + 1].upper()
    table = _by_period(visits, covered, settings, money, f"Y-{last}")
    begins = [year.start_time.year for year in table["period"]]
    ends = [year.end_time.year for year in table["period"]]
    table["period"] = [str(a) if a == b else f"{a}/{b % 100:02d}" for a, b in zip(begins, ends, strict=True)]
    return table.rename(columns={"period": "year"})


def _by_period(visits: pd.DataFrame, covered: pd.DataFrame, settings: Settings, money: Money | None, frequency: str) -> pd.DataFrame:
    paid = visits[visits["total_cost"].notna() & _by_fleet(visits)].copy()
    paid["day"] = paid["date_out"].fillna(paid["date_in"]).fillna(paid["opened_on"])
    paid = paid[paid["day"].notna()]
    if paid.empty:
        return pd.DataFrame({name: pd.Series(dtype="object") for name in COLUMNS})
    paid["period"] = paid["day"].dt.to_period(frequency)
    paid["total_cost"], paid["price_basis"] = _stated(paid, settings, money)
    table = paid.groupby(["price_basis", "period"], as_index=False).agg(spend=("total_cost", "sum"), visits=("visit_id", "count"))
    table["complete"] = _complete(table["period"], covered[covered["shop"].isin(paid["shop"])], settings)
    return table[COLUMNS]


def _stated(paid: pd.DataFrame, settings: Settings, money: Money | None) -> tuple[pd.Series, pd.Series]:
    """Amounts and their basis: one constant currency with `money`, else each in its own currency of its own month."""
    if money is None:
        own = paid["price_basis"].astype("string")
        return paid["total_cost"], own.str.slice(0, 3) + " money of each month " + own.str.split(" ").str[-1]
    amounts = to_constant(paid["total_cost"], paid["price_basis"], money, to=settings.currency, at=settings.money_month)
    tax = str(paid["price_basis"].iloc[0]).split()[-1]
    return amounts, pd.Series(f"{settings.currency} {settings.money_month} {tax}", index=paid.index, dtype="string")


def _complete(periods: pd.Series, covered: pd.DataFrame, settings: Settings) -> pd.Series:
    """True where the period has ended by as_of and every shop's records cover it whole; no stated coverage counts as whole."""
    starts = pd.to_datetime(periods.dt.start_time.dt.normalize())
    ends = pd.to_datetime(periods.dt.end_time.dt.normalize())
    whole: pd.Series = ends <= pd.Timestamp(settings.as_of)
    for first in covered["covers_from"].dropna():
        whole &= starts >= first
    for last in covered["covers_to"].dropna():
        whole &= ends <= last
    return whole
