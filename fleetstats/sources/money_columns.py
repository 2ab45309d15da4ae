"""Amounts of a row to net money with a price basis; what is not stated is never guessed."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from fleetstats.errors import Problem
from fleetstats.sources.cell import distinct
from fleetstats.sources.columns import fold
from fleetstats.sources.profile import Profile
from fleetstats.tables import Table

DATED_BY = {"visits": ("date_out", "date_in", "opened_on"), "reconditionings": ("finished", "started"), "unit_moves": ("date",)}
"""Per table with money: the dates, first one known, whose month the amounts are of."""


def money_columns(table: Table) -> list[str]:
    """The columns of a table that hold money."""
    return [name for name, column in table.columns.items() if column.unit == "money of price_basis"]


def tax_of_rows(cells: pd.DataFrame, profile: Profile) -> pd.Series:
    """"net", "gross" or "unknown" for every row, by the profile or by the column that it names."""
    money = profile.money
    if money.tax_column is None:
        return pd.Series(money.tax, index=cells.index, dtype="string")
    said = {fold(text): tax for text, tax in money.tax_values.items()}
    codes, values = distinct(cells[" ".join(money.tax_column.split())])
    return pd.Series(pd.array([*(said.get(fold(value), "unknown") for value in values), "unknown"], dtype="string").take(codes), index=cells.index)


def tax_taken_off(profile: Profile) -> float | None:
    """The rate of tax that `settle_money` takes off every amount of a file; None where it takes none, or a row may say otherwise."""
    by_row = profile.money.tax_column is not None or "price_basis" in (*profile.columns.values(), *profile.constants)
    return None if by_row or profile.money.tax != "gross" else profile.money.tax_rate


def settle_money(rows: pd.DataFrame, profile: Profile, file: str, tax: pd.Series) -> tuple[pd.DataFrame, list[Problem]]:
    """The rows with net amounts and `price_basis`, and one Problem per reason for which amounts were kept out.

    A row that states its own basis keeps it. Otherwise currency, tax and a date are needed; gross amounts are divided by 1 + tax_rate.
    tax: of every row, see `tax_of_rows`.
    """
    names = [name for name in money_columns(profile.canonical) if rows[name].notna().any()]
    if not names:
        return rows, []
    open_rows = rows[names].notna().any(axis=1) & rows["price_basis"].isna()
    tax, dates = tax.reindex(rows.index), _dates(rows, profile)
    problems = []
    for where, what, remedy in _lacking(open_rows, tax, dates, profile):
        problems.append(Problem(what=f"{what}: the amounts of {_rows(where)} were kept out", file=file, field="price_basis", remedy=remedy))
        rows, open_rows = _without(rows, names, where), open_rows & ~where
    rate = 1 + (profile.money.tax_rate or 0)
    gross = (open_rows & (tax == "gross")).to_numpy(bool)
    net = {name: rows[name].where(~gross, rows[name] / rate) for name in names}
    return rows.assign(**net, price_basis=rows["price_basis"].mask(open_rows, _bases(dates, str(profile.money.currency)))), problems


def _bases(dates: pd.Series, currency: str) -> pd.Series:
    """The price basis of each date, missing where there is none; each month written once."""
    codes, months = pd.factorize(dates.to_numpy().astype("datetime64[M]"))
    bases = pd.array([f"{currency} {month} net" for month in months.astype(str)], dtype="string")
    return pd.Series(bases.take(codes, allow_fill=True), index=dates.index)


def _rows(where: pd.Series) -> str:
    return "1 row" if where.sum() == 1 else f"{int(where.sum())} rows"


def _lacking(open_rows: pd.Series, tax: pd.Series, dates: pd.Series, profile: Profile) -> Iterator[tuple[pd.Series, str, str]]:
    """Rows whose amounts lack something, what, and what to do; a row is named once."""
    own = 'Fill the column price_basis, e.g. "EUR 2026-01 net".' if profile.of_own_headings else None
    if profile.money.currency is None and open_rows.any():
        yield open_rows, "the currency is not stated", own or 'Set currency = "..." (ISO 4217) under [money] of the profile.'
        return
    unknown = open_rows & (tax == "unknown").to_numpy(bool)
    if unknown.any():
        by_column = profile.money.tax_column and f"Add what '{profile.money.tax_column}' says of them to [money.tax_values] of the profile."
        yield (unknown, "it is not stated whether amounts hold tax",
               own or by_column or 'Set tax = "net", or tax = "gross" with tax_rate, under [money] of the profile.')
    undated = open_rows & ~unknown & dates.isna()
    if undated.any():
        yield undated, "no date stands beside them", "Mend their dates, or fill price_basis."


def _dates(rows: pd.DataFrame, profile: Profile) -> pd.Series:
    dates = pd.Series(pd.NaT, index=rows.index, dtype="datetime64[s]")
    for name in DATED_BY.get(profile.table, ()):
        dates = dates.fillna(rows[name])
    return dates


def _without(rows: pd.DataFrame, names: list[str], where: pd.Series) -> pd.DataFrame:
    return rows.assign(**{name: rows[name].mask(where) for name in names})
