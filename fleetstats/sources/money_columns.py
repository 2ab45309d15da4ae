"""Amounts of a row to net money with a price basis; what is not stated is never guessed."""

from __future__ import annotations

import pandas as pd

from fleetstats.errors import Problem
from fleetstats.sources.profile import Profile
from fleetstats.tables import Table

DATED_BY = {"visits": ("date_out", "date_in", "opened_on"), "reconditionings": ("finished", "started"), "unit_moves": ("date",)}
"""Per table with money: the dates, first one known, whose month the amounts are of."""


def money_columns(table: Table) -> list[str]:
    """The columns of a table that hold money."""
    return [name for name, column in table.columns.items() if column.unit == "money of price_basis"]


def settle_money(rows: pd.DataFrame, profile: Profile, file: str) -> tuple[pd.DataFrame, list[Problem]]:
    """The rows with net amounts and `price_basis`, and one Problem per reason for which amounts were kept out.

    A row that states its own basis keeps it. Otherwise currency, tax and a date are needed; gross amounts are divided by 1 + tax_rate.
    """
    names = [name for name in money_columns(profile.canonical) if rows[name].notna().any()]
    if not names:
        return rows, []
    paid = rows[names].notna().any(axis=1)
    open_rows = paid & rows["price_basis"].isna()
    lacking = _lacking(profile)
    if lacking and open_rows.any():
        what, remedy = lacking
        kept_out = Problem(what=f"{what}: the amounts of {_rows(open_rows)} were kept out", file=file, remedy=remedy)
        return _without(rows, names, open_rows), [kept_out]
    dates = _dates(rows, profile)
    undated = open_rows & dates.isna()
    problems = [Problem(what=f"no date stands beside the amounts of {_rows(undated)}: these amounts were kept out", file=file,
                        remedy="Mend their dates, or fill price_basis.")] if undated.any() else []
    rows = _without(rows, names, undated)
    stated = open_rows & ~undated
    net = rows[names].where(~stated, rows[names] / (1 + (profile.money.tax_rate or 0 if profile.money.tax == "gross" else 0)))
    basis = f"{profile.money.currency} " + dates.dt.strftime("%Y-%m").astype("string") + " net"
    return rows.assign(**{name: net[name] for name in names}, price_basis=rows["price_basis"].mask(stated, basis)), problems


def _rows(where: pd.Series) -> str:
    return "1 row" if where.sum() == 1 else f"{int(where.sum())} rows"


def _lacking(profile: Profile) -> tuple[str, str] | None:
    own = 'Fill the column price_basis, e.g. "EUR 2026-01 net".' if profile.of_own_headings else None
    if profile.money.currency is None:
        return "the currency is not stated", own or 'Set currency = "..." (ISO 4217) under [money] of the profile.'
    if profile.money.tax == "unknown":
        return "it is not stated whether amounts hold tax", own or 'Set tax = "net", or tax = "gross" with tax_rate, under [money] of the profile.'
    return None


def _dates(rows: pd.DataFrame, profile: Profile) -> pd.Series:
    dates = pd.Series(pd.NaT, index=rows.index, dtype="datetime64[s]")
    for name in DATED_BY.get(profile.table, ()):
        dates = dates.fillna(rows[name])
    return dates


def _without(rows: pd.DataFrame, names: list[str], where: pd.Series) -> pd.DataFrame:
    return rows.assign(**{name: rows[name].mask(where) for name in names})
