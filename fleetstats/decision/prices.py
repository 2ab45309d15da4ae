"""`prices.toml`: what each option costs today, stated in the money of the report when it is read."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path
from typing import Any, Literal, TypeVar

from pydantic import Field, field_validator, model_validator

from fleetstats.documents import Document, read_toml, validate
from fleetstats.errors import InputRefused, Problem
from fleetstats.money import CURRENCY, MONTH, Money, factor_to_constant
from fleetstats.settings import Settings

OLD_AFTER_MONTHS = 24
"""A price older than this is warned of on the sheet."""


class Priced(Document):
    """Base of a table with money: currency and month of its prices, net of recoverable tax."""

    currency: str = Field(description="ISO 4217")
    price_month: str = Field(description="month of these prices, YYYY-MM")

    @field_validator("currency")
    @classmethod
    def _code(cls, value: str) -> str:
        if not re.match(CURRENCY, value):
            raise ValueError('a currency is three capital letters (ISO 4217), such as "USD"')
        return value

    @field_validator("price_month")
    @classmethod
    def _month(cls, value: str) -> str:
        if not re.match(MONTH, value):
            raise ValueError('a month is written year and month, such as "2025-12"')
        return value


Row = TypeVar("Row", bound=Priced)


class Price(Priced):
    """One way to put a working unit into the vehicle. Money per unit; hours hands-on; days out of service."""

    option: Literal["exchange_used_tested", "exchange_reconditioned", "exchange_new", "recondition_own", "replace_refrigerator"]
    sizes_l: list[float] = Field(default_factory=list, description="refrigerator sizes it holds for; empty: all")
    valid_from: dt.date | None = None
    unit_price: float = Field(ge=0)
    labour_hours: float = Field(ge=0)
    labour_rate: float = Field(ge=0)
    freight_out: float = Field(0, ge=0)
    freight_core: float = Field(0, ge=0)
    core_credit: float = Field(0, ge=0)
    p_core_accepted: float = Field(1, ge=0, le=1)
    disposal: float = Field(0, ge=0)
    consumables: float = Field(0, ge=0)
    lead_days_in_stock: float = Field(ge=0)
    p_in_stock: float = Field(1, ge=0, le=1)
    lead_days_out: float = Field(0, ge=0)
    lead_days_out_sd: float = Field(0, ge=0)
    warranty_months: float = Field(0, ge=0, description="full credit of the unit's price for a true failure within")
    life: Literal["new", "reconditioned"] = Field(description="which life the fitted unit has")
    fitted_age_years: float = Field(0, ge=0, description="age of the fitted unit")
    cures_outside: float = Field(0, ge=0, le=1, description="chance that the swap mends an outside fault by accident")

    @model_validator(mode="after")
    def _lead_known(self) -> Price:
        if self.p_in_stock < 1 and self.lead_days_out == 0:
            raise ValueError(f"p_in_stock is {self.p_in_stock:g}, so lead_days_out is needed: days out of service when the unit must be ordered")
        return self

    @property
    def fixed(self) -> float:
        """Everything but the days out of service."""
        labour = self.labour_hours * self.labour_rate
        freight = self.freight_out + self.freight_core
        return self.unit_price + labour + freight + self.disposal + self.consumables - self.core_credit * self.p_core_accepted

    @property
    def mean_days(self) -> float:
        """Expected days out of service when nothing is known of the shelf."""
        return self.p_in_stock * self.lead_days_in_stock + (1 - self.p_in_stock) * self.lead_days_out


class Remedy(Priced):
    """An outside fault put right. modes: outside modes of the mode table it answers. p_right: that it is the right one first time."""

    modes: list[Literal["AC", "LP", "AIR", "LEVEL", "CTRL", "BOX"]]
    parts: float = Field(ge=0)
    labour_hours: float = Field(ge=0)
    labour_rate: float = Field(ge=0)
    days: float = Field(ge=0)
    p_right: float = Field(1, gt=0, le=1)

    @property
    def fixed(self) -> float:
        """Parts and labour."""
        return self.parts + self.labour_hours * self.labour_rate


class Verify(Priced):
    """The decisive test in the vehicle. cases_faulty, cases_healthy: counts behind sensitivity and specificity, 0 when there are none."""

    price: float = Field(ge=0)
    days: float = Field(ge=0)
    sensitivity: float = Field(gt=0, le=1)
    specificity: float = Field(gt=0, le=1)
    cases_faulty: float = Field(0, ge=0)
    cases_healthy: float = Field(0, ge=0)


class RepeatVisit(Priced):
    """A second visit because the first did not cure it."""

    price: float = Field(ge=0)
    days: float = Field(ge=0)


class Core(Priced):
    """Benching the removed core: what the test costs, and what a core found healthy is worth to the pool."""

    bench_cost: float = Field(ge=0)
    healthy_value: float = Field(ge=0)


class Resale(Priced):
    """What a fresh cooling unit adds to the vehicle's sale, falling evenly to nothing at `until_years`."""

    fresh_unit_gain: float = Field(ge=0)
    until_years: float = Field(10, gt=0)


class Defer(Priced):
    """Hiring out with a weak unit and a cool box: share of the daily margin given back to the renter."""

    refund_share: float = Field(ge=0, le=1)


class Prices(Document):
    """All prices, in one currency of one month."""

    price: list[Price] = Field(default_factory=list)
    remedy: list[Remedy] = Field(default_factory=list)
    verify: Verify | None = None
    repeat_visit: RepeatVisit | None = None
    core: Core | None = None
    resale: Resale | None = None
    defer: Defer | None = None
    warnings: tuple[str, ...] = Field((), exclude=True, description="prices that are old, accuracies without counts")

    def option(self, name: str, size_l: float | None, on: dt.date) -> Price | None:
        """The price of an option for this refrigerator size (litres; None fits only rows for all sizes) on this day; the latest valid row."""
        rows = [row for row in self.price if row.option == name and (not row.sizes_l or size_l in row.sizes_l)]
        rows = [row for row in rows if row.valid_from is None or row.valid_from <= on]
        return max(rows, key=lambda row: row.valid_from or dt.date.min, default=None)


_MONEY = {
    "unit_price", "labour_rate", "freight_out", "freight_core", "core_credit", "disposal", "consumables", "parts", "price", "bench_cost",
    "healthy_value", "fresh_unit_gain", "sale_value", "planned_exit_value", "margin_per_month",
}


def read_prices(path: Path, settings: Settings, money: Money | None = None) -> Prices:
    """The prices of a project in constant money of the report.

    Raises InputRefused naming the table and its number for a price without currency or month, and for a month without exchange rate.
    """
    data = read_toml(path)
    for name, table in data.items():
        for number, row in enumerate(table if isinstance(table, list) else [table], start=1):
            _has_currency(row, name, number if isinstance(table, list) else None, settings, path.name)
    prices = validate(data, Prices, file=path.name)
    stated = {name: _state(getattr(prices, name), settings, money) for name in data if name in Prices.model_fields}
    return prices.model_copy(update={**stated, "warnings": _warnings(prices, settings)})


def _has_currency(row: Any, table: str, number: int | None, settings: Settings, file: str) -> None:
    if not isinstance(row, dict) or ("currency" in row and "price_month" in row):
        return
    amount = next((f"{key} = {value}" for key, value in row.items() if key in _MONEY), "a price")
    lacks = "currency" if "currency" not in row else "price month"
    place = f"table [[{table}]] number {number}" if number else f"table [{table}]"
    remedy = f'Add currency = "{settings.currency}" (ISO 4217) and price_month = "{settings.money_month}". Nothing was changed.'
    raise InputRefused(Problem(what=f"{place}: '{amount}' has no {lacks}", file=file, remedy=remedy))


def _state(value: Any, settings: Settings, money: Money | None) -> Any:
    if isinstance(value, list):
        return [in_constant_money(row, settings, money) for row in value]
    return in_constant_money(value, settings, money)


def in_constant_money(row: Row, settings: Settings, money: Money | None) -> Row:
    """The row with every amount in the currency and money month of the report."""
    factor = factor_to_constant(row.currency, row.price_month, money, to=settings.currency, at=settings.money_month)
    amounts = {name: getattr(row, name) * factor for name in type(row).model_fields if name in _MONEY and getattr(row, name) is not None}
    return row.model_copy(update={**amounts, "currency": settings.currency, "price_month": settings.money_month})


def _warnings(prices: Prices, settings: Settings) -> tuple[str, ...]:
    said = [
        f"the price of {row.option} is of {row.price_month}, more than {OLD_AFTER_MONTHS} months old"
        for row in prices.price if _months(settings.money_month) - _months(row.price_month) > OLD_AFTER_MONTHS
    ]
    if prices.verify and not (prices.verify.cases_faulty and prices.verify.cases_healthy):
        said.append("accuracy of the test in the vehicle: no counts behind it")
    return tuple(said)


def _months(month: str) -> int:
    return int(month[:4]) * 12 + int(month[5:])
