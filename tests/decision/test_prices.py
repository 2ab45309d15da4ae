"""Prices and calendar: refused without currency or rate, stated in the money of the report, and never lost in silence."""

import datetime as dt

import numpy as np
import pytest

from fleetstats.decision import read_calendar, read_prices
from fleetstats.decision.rental import cells_from, cost_of_a_day, days_from
from fleetstats.errors import InputRefused
from fleetstats.money import Money
from fleetstats.settings import Settings

SETTINGS = Settings(as_of=dt.date(2025, 12, 31), currency="USD", price_month="2025-12")
MONEY = Money(base="USD", index={2025: [100.0] * 11 + [101.0]}, rates={"GBP": {2025: [1.25] * 12}})
ROW = """
[[price]]
option = "exchange_new"
{money}
unit_price = 640
labour_hours = 4
labour_rate = 100
lead_days_in_stock = 5
life = "new"
"""
DEPOT = """
[[depot]]
depot = "Millpond"
currency = "GBP"
price_month = "2025-06"
share_rented = [0, 0, 0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.5, 0.4, 0, {last}]
daily_margin = [80, 80, 80, 80, 80, 80, 80, 100, 80, 80, 80, 80]
substitutable_share = [0, 0, 0, 0, 0, 0, 0, 0.1, 0, 0, 0, 0]
"""


def read(tmp_path, text, money=MONEY):
    path = tmp_path / "prices.toml"
    path.write_text(text, encoding="utf-8")
    return read_prices(path, SETTINGS, money)


@pytest.mark.parametrize(("money", "lacks"), [('price_month = "2025-12"', "no currency"), ('currency = "USD"', "no price month")])
def test_price_without_currency_names_table_and_number(tmp_path, money, lacks):
    """The second row lacks it: the message names the table, its number, the amount, and the two lines to add."""
    text = ROW.format(money='currency = "USD"\nprice_month = "2025-12"') + ROW.format(money=money)
    with pytest.raises(InputRefused) as caught:
        read(tmp_path, text)
    said = str(caught.value)
    assert said.startswith("prices.toml: table [[price]] number 2: 'unit_price = 640' has " + lacks)
    assert 'Add currency = "USD" (ISO 4217) and price_month = "2025-12". Nothing was changed.' in said


def test_price_in_another_money_is_restated(tmp_path):
    """640 GBP of June at 1.25 and prices up by 1 %: 808 USD of December; hours stay hours."""
    row = read(tmp_path, ROW.format(money='currency = "GBP"\nprice_month = "2025-06"')).price[0]
    assert row.unit_price == pytest.approx(808)
    assert row.labour_rate == pytest.approx(126.25)
    assert row.labour_hours == 4
    assert row.fixed == pytest.approx(808 + 505)


def test_out_of_stock_needs_a_lead_time(tmp_path):
    """A unit that is in stock in 60 of 100 cases and has no lead time otherwise is refused: it would count as there at once."""
    with pytest.raises(InputRefused, match="lead_days_out is needed"):
        read(tmp_path, ROW.format(money='currency = "USD"\nprice_month = "2025-12"') + "p_in_stock = 0.6\n")


def test_month_without_rate_is_refused(tmp_path):
    """A price of a month that money.toml lacks is refused by currency and month, and so is another currency without money.toml."""
    with pytest.raises(InputRefused, match="GBP for 2024-06"):
        read(tmp_path, ROW.format(money='currency = "GBP"\nprice_month = "2024-06"'))
    with pytest.raises(InputRefused, match="GBP of 2025-06"):
        read(tmp_path, ROW.format(money='currency = "GBP"\nprice_month = "2025-06"'), money=None)


def test_row_for_a_size_and_a_day(tmp_path):
    """The latest row valid on the day holds; a row for other sizes does not; an old price is warned of."""
    money = Money(base="USD", index={2022: [90.0] * 12, 2025: [100.0] * 12}, rates={})
    old = ROW.format(money='currency = "USD"\nprice_month = "2022-12"\nsizes_l = [150]')
    new = ROW.format(money='currency = "USD"\nprice_month = "2025-12"\nsizes_l = [150]\nvalid_from = 2025-07-01').replace("640", "700")
    prices = read(tmp_path, old + new, money)
    assert prices.option("exchange_new", 150, dt.date(2025, 6, 30)).unit_price == pytest.approx(640 * 100 / 90)
    assert prices.option("exchange_new", 150, dt.date(2025, 7, 1)).unit_price == pytest.approx(700)
    assert prices.option("exchange_new", 95, dt.date(2025, 7, 1)) is None
    assert any("2022-12" in text for text in prices.warnings)


def test_calendar_in_money_of_the_report(tmp_path):
    """A day in August at Millpond: 100 GBP x .9 rented x .9 not covered = 81 GBP = 102.26 USD of December; a depot not listed has none."""
    path = tmp_path / "calendar.toml"
    path.write_text(DEPOT.format(last="0"), encoding="utf-8")
    table = read_calendar(path, SETTINGS, MONEY)
    assert cost_of_a_day(table, "Millpond", SETTINGS)[7] == pytest.approx(81 * 1.25 * 1.01)
    assert cost_of_a_day(table, "Elsewhere", SETTINGS) is None
    assert cost_of_a_day(table, None, SETTINGS) is None
    with pytest.raises(InputRefused, match="other money"):
        cost_of_a_day(table, "Millpond", SETTINGS.model_copy(update={"currency": "GBP"}))
    path.write_text(DEPOT.format(last="1.2"), encoding="utf-8")
    with pytest.raises(InputRefused, match="a share above 1"):
        read_calendar(path, SETTINGS, MONEY)


def test_days_and_cells_follow_the_calendar():
    """Days are those of the calendar; a month-long cell has the cost of the month in which its middle lies."""
    by_month = np.arange(1.0, 13.0)
    assert days_from(dt.date(2025, 1, 30), 4, by_month).tolist() == [1, 1, 2, 2]
    assert cells_from(dt.date(2025, 6, 1), 8, by_month).tolist() == [6, 7, 8, 9, 10, 11, 12, 1]
    assert cells_from(dt.date(2025, 6, 25), 2, by_month).tolist() == [7, 8]
