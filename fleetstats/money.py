"""Money of many months and currencies, stated in one currency of one month.

`money.toml` of a project holds dated exchange rates to one base currency and one price index of that currency.
An amount is first changed into the base at the rate of its own month, then carried to the wanted month by the index,
then changed into the wanted currency at the rate of the wanted month.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd
from pydantic import Field, field_validator

from fleetstats.documents import Document, read_document
from fleetstats.errors import InputRefused, Problem

BASIS = re.compile(r"(?P<currency>[A-Z]{3}) (?P<month>\d{4}-(?:0[1-9]|1[0-2])) (?P<tax>net|gross)")
CURRENCY = r"^[A-Z]{3}$"
MONTH = r"^\d{4}-(0[1-9]|1[0-2])$"


class PriceBasis(NamedTuple):
    """What a money column is stated in: ISO 4217 code, month YYYY-MM of its prices, "net" or "gross" of recoverable tax."""

    currency: str
    month: str
    tax: str

    def __str__(self) -> str:
        return f"{self.currency} {self.month} {self.tax}"


def parse_basis(text: str) -> PriceBasis:
    """The parts of a price basis such as "EUR 2026-01 net". Raises InputRefused when it is not like that."""
    match = BASIS.fullmatch(text)
    if match is None:
        wanted = 'text like "EUR 2026-01 net"'
        raise InputRefused(Problem(what="not a price basis", found=text, wanted=wanted, remedy="State currency, month and net or gross."))
    return PriceBasis(**match.groupdict())


def one_basis(column: pd.Series, *, table: str) -> PriceBasis | None:
    """The only price basis of a table's price_basis column; None when it is empty.

    Raises InputRefused when two stand in it: sums over them would mean nothing.
    """
    found = sorted(str(text) for text in column.dropna().unique())
    if len(found) > 1:
        remedy = "Convert the amounts to one currency and month first (money.toml holds the rates), then add them up."
        raise InputRefused(Problem(what=f"table '{table}' holds {len(found)} price bases", found=f"{found[0]}' and '{found[1]}", wanted="one", remedy=remedy))
    return parse_basis(found[0]) if found else None


class Money(Document):
    """`money.toml`: rates and index, a list of twelve months for each year (fewer in the last one; nan where not known)."""

    base: str = Field(pattern=CURRENCY, description="currency the rates lead to, and whose prices the index follows")
    index: dict[int, list[float]] = Field(description="price index of the base currency, year -> January to December")
    rates: dict[str, dict[int, list[float]]] = Field(default_factory=dict, description="currency -> year -> units of base for one unit of it")

    @field_validator("index")
    @classmethod
    def _index_adds_up(cls, value: dict[int, list[float]]) -> dict[int, list[float]]:
        return _years_add_up(value)

    @field_validator("rates")
    @classmethod
    def _rates_add_up(cls, value: dict[str, dict[int, list[float]]]) -> dict[str, dict[int, list[float]]]:
        return {currency: _years_add_up(years) for currency, years in value.items()}

    def convert(self, amounts: npt.ArrayLike, currency: npt.ArrayLike, month: npt.ArrayLike, *, to: str, at: str) -> npt.NDArray[np.float64]:
        """`amounts` as constant money of currency `to` and month `at` (YYYY-MM).

        amounts (n,); currency and month: one text, or (n,) texts. Missing amounts stay NaN and need no rate.
        Raises InputRefused naming the currency and the month when a rate or the index is missing.
        """
        values = np.atleast_1d(np.asarray(amounts, float))
        texts = {"currency": currency, "month": month}
        pairs = pd.DataFrame({name: np.broadcast_to(np.asarray(column, object), values.shape) for name, column in texts.items()})
        wanted = pairs[~np.isnan(values)].drop_duplicates()
        wanted["factor"] = [self._factor(str(row.currency), str(row.month), to, at) for row in wanted.itertuples()]
        return np.asarray(values * pairs.merge(wanted, how="left", on=["currency", "month"])["factor"].to_numpy(float))

    def _factor(self, currency: str, month: str, to: str, at: str) -> float:
        if (currency, month) == (to, at):
            return 1.0
        index = _by_month(self.index)
        return self._at(currency, month) * _known(index, at, "price index", self.base) / _known(index, month, "price index", self.base) / self._at(to, at)

    def _at(self, currency: str, month: str) -> float:
        """Units of the base currency for one unit of `currency` in that month."""
        return 1.0 if currency == self.base else _known(_by_month(self.rates.get(currency, {})), month, "exchange rate", currency)


def _years_add_up(years: dict[int, list[float]]) -> dict[int, list[float]]:
    for year, months in years.items():
        if len(months) > 12:
            raise ValueError(f"year {year} has {len(months)} months")
        if any(amount <= 0 for amount in months):
            raise ValueError(f"year {year} holds a number that is not above 0")
    return years


def _known(series: dict[str, float], month: str, what: str, currency: str) -> float:
    value = series.get(month, float("nan"))
    if np.isnan(value):
        held = [key for key, number in series.items() if not np.isnan(number)]
        span = f"it holds {held[0]} to {held[-1]}" if held else "it holds none"
        remedy = (f"Add the month to money.toml ({span}), or set price_month in fleetstats.toml to a month it holds; "
                  "no rate is guessed from its neighbours. Nothing was changed.")
        raise InputRefused(Problem(what=f"no {what} of {currency} for {month}", file="money.toml", remedy=remedy))
    return value


def _by_month(years: dict[int, list[float]]) -> dict[str, float]:
    return {f"{year}-{number:02d}": value for year in sorted(years) for number, value in enumerate(years[year], start=1)}


def read_money(path: Path) -> Money:
    """The rates and the index of a project. Raises InputRefused naming what is wrong in the file."""
    return read_document(path, Money)


def to_constant(amounts: pd.Series, basis: pd.Series, money: Money | None, *, to: str, at: str) -> pd.Series:
    """A money column in constant money of currency `to` and month `at`, with the index of `amounts`.

    amounts: float64, NaN allowed; basis: its price_basis column. money: None allowed as long as every basis is already `to` at `at`.
    Raises InputRefused for an amount without a basis, a mixture of net and gross, or a missing rate.
    """
    present, name = amounts.notna(), str(amounts.name)
    if (present & basis.isna()).any():
        remedy = "State the currency in the profile's [money]."
        raise InputRefused(Problem(what="an amount without currency and month", column=name, remedy=remedy))
    parts = {str(text): parse_basis(str(text)) for text in basis[present].unique()}
    if len({part.tax for part in parts.values()}) > 1:
        remedy = "Give the tax rate in the profiles so that all become net."
        raise InputRefused(Problem(what="net and gross amounts in one column", column=name, remedy=remedy))
    factors = {text: factor_to_constant(part.currency, part.month, money, to=to, at=at) for text, part in parts.items()}
    factor = basis.map(factors).astype("float64")
    return amounts * factor


def factor_to_constant(currency: str, month: str, money: Money | None, *, to: str, at: str) -> float:
    """What an amount of `currency` and `month` is multiplied by. Without `money` only the same currency and month will do."""
    if money is not None:
        return float(money.convert([1.0], currency, month, to=to, at=at)[0])
    if (currency, month) == (to, at):
        return 1.0
    what = f"{currency} of {month} cannot be stated in {to} of {at} without exchange rates and a price index"
    raise InputRefused(Problem(what=what, file="money.toml", remedy=f"Write money.toml with the rates, or state this amount in {to} of {at}."))
