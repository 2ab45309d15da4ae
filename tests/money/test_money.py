"""Constant money: hand arithmetic, refusals, and what must not depend on the path."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetstats.errors import InputRefused
from fleetstats.money import Money, one_basis, parse_basis, read_money, to_constant

MONEY = Money(base="USD", index={2024: [100.0] * 12, 2025: [110.0] * 6}, rates={"GBP": {2024: [1.25] * 12, 2025: [1.30, 1.32, 1.28, 1.25, 1.35, 1.20]}})


def test_hand_arithmetic():
    """100 GBP of 2024-03 at 1.25 are 125 USD; prices rise from 100 to 110, so 137.50 USD of 2025-06; at 1.20, 114.5833 GBP of 2025-06."""
    assert MONEY.convert([100.0], "GBP", "2024-03", to="USD", at="2025-06") == pytest.approx([137.5])
    assert MONEY.convert([100.0], "GBP", "2024-03", to="GBP", at="2025-06") == pytest.approx([114.583333333])


def test_many_months_and_currencies_at_once():
    """A column of mixed months and currencies equals each amount converted alone; a missing amount stays missing and needs no rate."""
    currency, month = np.array(["GBP", "USD", "QQQ"], object), np.array(["2025-02", "2024-12", "1990-01"], object)
    together = MONEY.convert([10.0, 20.0, np.nan], currency, month, to="USD", at="2025-01")
    assert together[:2] == pytest.approx([13.2, 22.0])
    assert np.isnan(together[2])


@pytest.mark.parametrize(("currency", "month"), [("GBP", "2025-07"), ("EUR", "2024-01"), ("USD", "2023-12")])
def test_month_without_rate_is_refused_by_name(currency, month):
    """A month without a rate or index is an error that names currency and month; nothing is guessed from the months beside it."""
    with pytest.raises(InputRefused, match=f"{currency} for {month}"):
        MONEY.convert([1.0], currency, month, to="USD", at="2025-06")


def test_what_is_missing_is_called_by_its_name():
    """The base currency needs no exchange rate: a month beyond the index lacks the price index, whichever end it stands at."""
    for month, at in (("2023-12", "2025-06"), ("2025-06", "2025-07")):
        with pytest.raises(InputRefused, match="no price index of USD"):
            MONEY.convert([1.0], "USD", month, to="USD", at=at)


def test_two_price_bases_in_one_table_are_refused():
    """Money of two months may not stand in one table; an empty column has no basis."""
    with pytest.raises(InputRefused, match="2 price bases"):
        one_basis(pd.Series(["USD 2025-01 net", "USD 2025-02 net"], dtype="string"), table="prices")
    assert str(one_basis(pd.Series(["USD 2025-01 net", pd.NA], dtype="string"), table="prices")) == "USD 2025-01 net"
    assert one_basis(pd.Series([pd.NA], dtype="string"), table="prices") is None


@pytest.mark.parametrize("text", ["USD 2025-13 net", "usd 2025-01 net", "USD 2025-01", "USD 2025-01 unknown"])
def test_what_is_no_price_basis(text):
    """Currency in capitals, a month that exists, and net or gross are all needed."""
    with pytest.raises(InputRefused, match="not a price basis"):
        parse_basis(text)


def test_column_to_constant_money():
    """A money column keeps its index and its gaps; an amount without a basis, and net beside gross, are refused."""
    amounts = pd.Series([100.0, np.nan, 10.0], index=[5, 6, 7], name="total_cost")
    basis = pd.Series(["GBP 2024-03 net", pd.NA, "USD 2025-06 net"], index=[5, 6, 7], dtype="string")
    out = to_constant(amounts, basis, MONEY, to="USD", at="2025-06")
    assert list(out.index) == [5, 6, 7]
    assert out.loc[[5, 7]].tolist() == pytest.approx([137.5, 10.0])
    with pytest.raises(InputRefused, match="without currency"):
        to_constant(amounts, basis.mask(basis.notna()), MONEY, to="USD", at="2025-06")
    with pytest.raises(InputRefused, match="net and gross"):
        to_constant(amounts, basis.str.replace("2025-06 net", "2025-06 gross"), MONEY, to="USD", at="2025-06")


def test_without_rates_nothing_is_compared_across_currencies():
    """Without money.toml an amount already in the wanted money passes, any other is refused."""
    amounts = pd.Series([5.0], name="x")
    assert to_constant(amounts, pd.Series(["USD 2025-06 net"], dtype="string"), None, to="USD", at="2025-06").tolist() == [5.0]
    with pytest.raises(InputRefused, match="GBP of 2025-06"):
        to_constant(amounts, pd.Series(["GBP 2025-06 net"], dtype="string"), None, to="USD", at="2025-06")


def test_file_with_a_thirteenth_month_or_a_negative_rate_is_refused(tmp_path):
    """Faults of the file are found when it is read, with the year."""
    (tmp_path / "money.toml").write_text('base = "USD"\n[index]\n2024 = [1,1,1,1,1,1,1,1,1,1,1,1,1]\n', encoding="utf-8")
    with pytest.raises(InputRefused, match="year 2024 has 13 months"):
        read_money(tmp_path / "money.toml")
    (tmp_path / "money.toml").write_text('base = "USD"\n[index]\n2024 = [1]\n[rates.GBP]\n2024 = [-1]\n', encoding="utf-8")
    with pytest.raises(InputRefused, match="not above 0"):
        read_money(tmp_path / "money.toml")


@given(st.floats(0.01, 1e6), st.integers(1, 12), st.integers(1, 6))
def test_there_and_back_again(amount, first, second):
    """Converting to another currency and month and back gives the amount: the path does not matter."""
    there = MONEY.convert([amount], "GBP", f"2024-{first:02d}", to="USD", at=f"2025-{second:02d}")
    back = MONEY.convert(there, "USD", f"2025-{second:02d}", to="GBP", at=f"2024-{first:02d}")
    assert back == pytest.approx([amount])
