"""Spend by quarter, checked by hand."""

import datetime as dt

import pandas as pd
import pytest

from fleetstats.errors import InputRefused
from fleetstats.money import Money
from fleetstats.records import Fleet
from fleetstats.report.coverage import coverage
from fleetstats.report.spend import spend_by_fiscal_year, spend_by_quarter, totals_summed, with_shares
from fleetstats.settings import Settings
from fleetstats.tables import PAYMENTS, SHOPS, VISITS

SETTINGS = Settings(as_of=dt.date(2025, 12, 31), currency="USD", price_month="2025-12")
SHOP = SHOPS.check(pd.DataFrame({"shop": ["A", "B"], "covers_from": [pd.Timestamp("2025-01-01"), None], "covers_to": [pd.Timestamp("2025-11-30"), None]}))


def visits(**columns) -> pd.DataFrame:
    n = len(columns["total_cost"])
    held = {"visit_id": [str(i) for i in range(n)], "shop": ["A"] * n, "price_basis": ["USD 2025-12 net"] * n}
    return VISITS.check(pd.DataFrame({**held, **columns}))


def test_sums_by_the_quarter_of_release():
    """Three visits, two quarters: 100 + 50 in the second, 30 in the third; days on quarter ends belong to their own quarter."""
    table = spend_by_quarter(visits(total_cost=[100.0, 50.0, 30.0], date_out=pd.to_datetime(["2025-04-01", "2025-06-30", "2025-07-01"])), SHOP, SETTINGS, None)
    assert table[["quarter", "spend", "visits"]].to_numpy().tolist() == [["2025-Q2", 150.0, 2], ["2025-Q3", 30.0, 1]]


def test_what_others_paid_is_left_out():
    """Warranty, renters and insurers pay for themselves; an unnamed payer is the fleet."""
    paid = visits(total_cost=[100.0, 50.0, 7.0], date_out=pd.to_datetime(["2025-04-01"] * 3), payer=["warranty", "fleet", None])
    table = spend_by_quarter(paid, SHOP, SETTINGS, None)
    assert table["spend"].tolist() == [57.0]


def test_of_a_visit_that_several_paid_the_fleet_s_share_counts():
    """A visit of 500 of which the insurer paid 200: 300 of the fleet's, on the day of the visit; one the fleet had no share in is left out."""
    billed = visits(total_cost=[500.0, 90.0], date_out=pd.to_datetime(["2025-04-01"] * 2), payer=["several", "several"])
    shares = PAYMENTS.check(pd.DataFrame({
        "visit_id": ["0", "0", "1", "1"], "payer": [None, "insurer", "warranty", "renter"], "total_cost": [300.0, 200.0, 60.0, 30.0],
    }))
    table = spend_by_quarter(with_shares(billed, shares), SHOP, SETTINGS, None)
    assert table[["quarter", "spend", "visits"]].to_numpy().tolist() == [["2025-Q2", 300.0, 1]]


def test_a_quarter_not_covered_whole_is_incomplete():
    """Shop A's records run to 30 November: its last quarter is incomplete, the one before whole."""
    table = spend_by_quarter(visits(total_cost=[1.0, 1.0], date_out=pd.to_datetime(["2025-09-30", "2025-10-01"])), SHOP, SETTINGS, None)
    assert table["complete"].tolist() == [True, False]


def test_constant_money_by_index_and_rate():
    """EUR 100 of 2025-06 at 1.10 is USD 110; the index goes from 100 to 110: USD 121 of 2025-12. Hand arithmetic."""
    money = Money(base="USD", index={2025: [100.0] * 11 + [110.0]}, rates={"EUR": {2025: [1.1] * 12}})
    table = spend_by_quarter(visits(total_cost=[100.0], date_out=pd.to_datetime(["2025-06-10"]), price_basis=["EUR 2025-06 net"]), SHOP, SETTINGS, money)
    assert table["spend"].tolist() == pytest.approx([121.0])
    assert table["price_basis"].tolist() == ["USD 2025-12 net"]


def test_without_rates_currencies_stay_apart():
    """No money.toml: one line per currency and quarter, nothing added across."""
    basis = ["USD 2025-06 net", "EUR 2025-06 net"]
    table = spend_by_quarter(visits(total_cost=[100.0, 40.0], date_out=pd.to_datetime(["2025-06-10"] * 2), price_basis=basis), SHOP, SETTINGS, None)
    assert table["spend"].tolist() == [40.0, 100.0]
    assert table["price_basis"].nunique() == 2


def test_a_month_without_rate_is_refused():
    """money.toml without the month of an amount: an error naming it, no neighbour's rate is guessed."""
    money = Money(base="USD", index={2025: [100.0] * 12}, rates={"EUR": {2025: [1.1] * 3}})
    with pytest.raises(InputRefused, match="EUR for 2025-06"):
        spend_by_quarter(visits(total_cost=[100.0], date_out=pd.to_datetime(["2025-06-10"]), price_basis=["EUR 2025-06 net"]), SHOP, SETTINGS, money)


def test_no_amounts_no_rows():
    """Visits without amounts: an empty table with the same columns."""
    table = spend_by_quarter(visits(total_cost=[None], date_out=pd.to_datetime(["2025-06-10"])), SHOP, SETTINGS, None)
    assert table.empty
    assert list(table.columns) == ["quarter", "price_basis", "spend", "visits", "complete"]


def test_a_fiscal_year_begins_where_the_settings_say():
    """Beginning in July, 30 June and 1 July 2025 fall into 2024/25 and 2025/26; beginning in January both into 2025. The sum is the same."""
    paid = visits(total_cost=[100.0, 50.0], date_out=pd.to_datetime(["2025-06-30", "2025-07-01"]))
    july = spend_by_fiscal_year(paid, SHOP, SETTINGS.model_copy(update={"fiscal_year_starts": 7}), None)
    assert july[["year", "spend"]].to_numpy().tolist() == [["2024/25", 100.0], ["2025/26", 50.0]]
    january = spend_by_fiscal_year(paid, SHOP, SETTINGS, None)
    assert january[["year", "spend"]].to_numpy().tolist() == [["2025", 150.0]]


def test_a_visit_without_a_total_costs_the_sum_of_its_parts():
    """900 + 240 and no total: 1,140 in the spend beside a stated 100, and one visit is told to be so; a visit without any amount adds none."""
    paid = with_shares(visits(total_cost=[None, 100.0, None], parts_cost=[900.0, 60.0, None], labour_cost=[240.0, 40.0, None],
                              date_out=pd.to_datetime(["2025-04-01"] * 3)), PAYMENTS.empty())
    assert spend_by_quarter(paid, SHOP, SETTINGS, None)[["spend", "visits"]].to_numpy().tolist() == [[1240.0, 2]]
    assert totals_summed(visits(total_cost=[None, 100.0, None], parts_cost=[900.0, 60.0, None])) == 1
    assert totals_summed(visits(total_cost=[None], parts_cost=[900.0], payer=["warranty"])) == 0


def test_parts_do_not_stand_in_for_a_share_the_fleet_has_not():
    """Others paid the whole of a visit that several paid: its parts are none of the fleet's."""
    billed = visits(total_cost=[None], parts_cost=[90.0], date_out=pd.to_datetime(["2025-04-01"]), payer=["several"])
    shares = PAYMENTS.check(pd.DataFrame({"visit_id": ["0", "0"], "payer": ["warranty", "renter"], "total_cost": [60.0, 30.0]}))
    assert spend_by_quarter(with_shares(billed, shares), SHOP, SETTINGS, None).empty


def test_without_a_table_of_shops_the_files_coverage_counts():
    """Shop A's two files run from January to November together, B's files are silent, an unnamed shop's ends in June; the table of shops goes first."""
    held = visits(total_cost=[1.0] * 5, date_out=pd.to_datetime(["2025-04-01"] * 3 + ["2025-07-01", "2025-11-01"]), shop=["A", "A", "B", "B", None])
    days = {"covers_from": pd.to_datetime(["2025-01-01", "2025-06-01", None, "2025-01-01", "2025-03-01"]),
            "covers_to": pd.to_datetime(["2025-05-31", "2025-11-30", None, "2025-12-31", "2025-06-30"])}
    names = ["a1", "a2", "b1", "b2", "c"]
    lineage = pd.DataFrame({"table": "visits", "record_id": held["visit_id"], "file": names, "row": 2, "fate": "accepted"})
    tables = {"visits": held, "files": pd.DataFrame({"file": names, "sha256": "x", **days}), "lineage": lineage}
    told = coverage(Fleet.from_tables(tables, SETTINGS)).set_index("shop")
    assert told.loc["A"].dt.strftime("%m-%d").tolist() == ["01-01", "11-30"]
    assert told.loc["B"].isna().all()
    assert told["covers_to"].dropna().dt.month.tolist() == [11, 6]
    of_a = spend_by_quarter(held[held["shop"].eq("A").fillna(False)], coverage(Fleet.from_tables(tables, SETTINGS)), SETTINGS, None)
    assert of_a["complete"].tolist() == [True]
    unnamed = spend_by_quarter(held[held["shop"].isna()], coverage(Fleet.from_tables(tables, SETTINGS)), SETTINGS, None)
    assert unnamed["complete"].tolist() == [False]
    stated = coverage(Fleet.from_tables(tables | {"shops": SHOP}, SETTINGS)).set_index("shop")
    assert stated.loc["A"].dt.strftime("%m-%d").tolist() == ["01-01", "11-30"]
