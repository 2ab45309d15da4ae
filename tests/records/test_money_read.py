"""Bills of one visit, and the account of the money of every file."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from fleetstats import tables
from fleetstats.records import Fleet
from fleetstats.records.build import Records
from fleetstats.records.facts import amount
from fleetstats.sources import SourceFile

Build = Callable[..., Records]
Make = Callable[..., SourceFile]
PARTS = ["kept", "copies", "replaced", "left_out", "unclear", "superseded", "rejected"]


def _bill(money: float | None, payer: str | None = "fleet", **more: Any) -> dict[str, Any]:
    order = {"vehicle_id": "C-1", "shop": "North", "document": "7", "opened_on": "2020-05-01", "date_in": "2020-05-01", "date_out": "2020-05-05"}
    return order | {"status": "closed", "payer": payer, "total_cost": money, "price_basis": "USD 2020-05 net"} | more


def test_what_each_payer_paid_is_kept(build: Build, file: Make) -> None:
    """300 for the fleet, 200 for the insurer, 200 again for the insurer in a copy: total 500, payer several, shares 300 and 200."""
    insurer = _bill(200.0, "insurer")
    records = build(file("a.csv", [_bill(300.0), insurer, insurer]))
    assert records.frames["visits"][["payer", "total_cost"]].to_numpy().tolist() == [["several", 500.0]]
    assert records.frames["payments"][["visit_id", "payer", "total_cost"]].to_numpy().tolist() == [["North:7", "fleet", 300.0], ["North:7", "insurer", 200.0]]


@pytest.mark.parametrize(("payers", "total"), [(("fleet", "insurer"), 500.0), (("fleet", "warranty"), 250.0), (("fleet", None), 250.0)])
def test_two_equal_amounts_are_two_halves_only_without_the_warranty(build: Build, file: Make, payers: tuple[str, str], total: float) -> None:
    """250 for the fleet and 250 for the insurer: 500. The same sent to the warranty, or to nobody named: 250 once."""
    rows = [_bill(250.0, payer, note=str(payer)) for payer in payers]
    assert build(file("a.csv", rows)).frames["visits"]["total_cost"].tolist() == [total]


def test_equal_amounts_for_parts_and_for_labour_are_added(build: Build, file: Make) -> None:
    """Parts 80 on one line, labour 80 on the next, one payer: 160."""
    rows = [_bill(80.0, parts_cost=80.0), _bill(80.0, labour_cost=80.0)]
    assert build(file("a.csv", rows)).frames["visits"]["total_cost"].tolist() == [160.0]


@pytest.mark.parametrize("evidence", [
    ({"reported_on": "2020-05-02"}, {"reported_on": "2020-05-06"}), ({"status": "open", "date_out": None}, {}),
    ({"opened_on": "2020-05-01"}, {"opened_on": "2020-05-03"}), ({"payer": None, "reported_on": "2020-05-02"}, {"reported_on": "2020-05-06"}),
])
def test_the_later_bill_replaces_the_earlier_whatever_their_order(build: Build, file: Make, evidence: tuple[dict[str, Any], dict[str, Any]]) -> None:
    """An estimate of 320 and an invoice of 300, told by day of report, by status, by day of opening, the payer on one of them only: 300."""
    bills = [_bill(320.0) | evidence[0], _bill(300.0) | evidence[1]]
    for rows in (bills, bills[::-1]):
        assert build(file("a.csv", rows)).frames["visits"]["total_cost"].tolist() == [300.0]


def test_an_estimate_is_replaced_by_an_invoice_in_two_lines(build: Build, file: Make) -> None:
    """Estimate with parts 90 and labour 60 of 2 May; parts 95 and labour 70 on two lines of 6 May: 165."""
    estimate = _bill(150.0, parts_cost=90.0, labour_cost=60.0, reported_on="2020-05-02")
    lines = [_bill(95.0, parts_cost=95.0, reported_on="2020-05-06"), _bill(70.0, labour_cost=70.0, reported_on="2020-05-06")]
    visit = build(file("a.csv", [estimate, *lines])).frames["visits"].iloc[0]
    assert visit[["parts_cost", "labour_cost", "total_cost"]].tolist() == [95.0, 70.0, 165.0]


def test_two_bills_that_nothing_tells_apart_are_not_chosen_from(build: Build, file: Make) -> None:
    """Order 7, the fleet, 300 and 200, no day of report, both closed: an estimate and its invoice or two lines. No total; both rows told."""
    records = build(file("a.csv", [_bill(300.0), _bill(200.0)]))
    assert records.frames["visits"]["total_cost"].isna().tolist() == [True]
    assert records.frames["rejects"][["row", "column", "found"]].to_numpy().tolist() == [[2, "total_cost", "300.0"], [3, "total_cost", "200.0"]]
    assert records.frames["money_read"].loc[0, ["read", "kept", "unclear"]].tolist() == [500.0, 0.0, 500.0]


def test_another_currency_is_not_added(build: Build, file: Make) -> None:
    """300 USD for the fleet and 200 EUR for the insurer: 300 USD, the other told; USD of the next month is added."""
    euro = _bill(200.0, "insurer", price_basis="EUR 2020-05 net")
    records = build(file("a.csv", [_bill(300.0), euro]))
    assert records.frames["visits"][["total_cost", "price_basis", "payer"]].to_numpy().tolist() == [[300.0, "USD 2020-05 net", "fleet"]]
    assert records.frames["rejects"]["row"].tolist() == [3]
    assert build(file("a.csv", [_bill(300.0), euro | {"price_basis": "USD 2020-06 net"}])).frames["visits"]["total_cost"].tolist() == [500.0]


def test_the_money_of_a_file_is_accounted_for_by_hand(build: Build, file: Make) -> None:
    """a.csv: 300 kept, its copy, an estimate of 280, the insurer's 200; b.csv: the warranty's 300 again. Read 780 + 200 + 300, kept 500."""
    invoice = _bill(300.0, reported_on="2020-05-06")
    rows = [invoice, invoice, _bill(280.0, reported_on="2020-05-02"), _bill(200.0, "insurer", reported_on="2020-05-06")]
    records = build(file("a.csv", rows), file("b.csv", [_bill(300.0, "warranty", reported_on="2020-06-06")]))
    found = records.frames["money_read"][["file", "payer", "basis", "bills", "read", "kept", "copies", "replaced"]]
    assert found.to_numpy().tolist() == [
        ["a.csv", "fleet", "USD net", 3, 880.0, 300.0, 300.0, 280.0], ["a.csv", "insurer", "USD net", 1, 200.0, 200.0, 0.0, 0.0],
        ["b.csv", "warranty", "USD net", 1, 300.0, 0.0, 300.0, 0.0],
    ]
    assert records.frames["visits"]["total_cost"].tolist() == [500.0]


def test_the_demo_s_money_is_accounted_for(demo_fleet: Fleet) -> None:
    """Per file, payer and currency read is the sum of its parts; all that is kept is the money of the visits; shares add up to their visits."""
    money = demo_fleet.money_read
    assert np.abs(money["read"] - money[PARTS].sum(axis=1)).max() < 0.05
    assert money["kept"].sum() == pytest.approx(np.nansum(amount(demo_fleet.visits)), abs=0.05 * len(money))
    several = demo_fleet.visits.query("payer == 'several'").set_index("visit_id")["total_cost"]
    assert len(several) > 0
    assert demo_fleet.payments.groupby("visit_id")["total_cost"].sum().to_dict() == pytest.approx(several.to_dict())
    assert set(demo_fleet.payments["payer"].dropna()) <= set(tables.PAYMENTS.columns["payer"].values)
