"""Which rows are one event, and what their record says."""

from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest

from fleetstats.records.build import Records
from fleetstats.sources import SourceFile

Build = Callable[..., Records]
Make = Callable[..., SourceFile]


def _row(start: str, end: str | None = None, **more: Any) -> dict[str, Any]:
    closed = {"status": "closed"} if end else {}
    return {"vehicle_id": "C-1", "shop": "North", "opened_on": start, "date_in": start, "date_out": end, **closed, **more}


def _fates(records: Records) -> list[str]:
    return records.frames["lineage"].sort_values(["file", "row"])["fate"].tolist()


def test_a_file_copied_whole_adds_nothing(build: Build, file: Make) -> None:
    """The same two rows stand in two files: two visits, the rows of the second file merged."""
    rows = [_row("2020-05-01", "2020-05-04", document="7", total_cost=100.0), _row("2021-05-01", "2021-05-04", document="8")]
    records = build(file("a.csv", rows), file("copy_of_a.csv", rows))
    assert _fates(records) == ["accepted", "accepted", "merged", "merged"]
    assert records.frames["visits"]["visit_id"].tolist() == ["North:7", "North:8"]


def test_document_amount_and_date_make_one_event_in_any_shop(build: Build, file: Make) -> None:
    """A branch hands over the order 'R-7' of 100.00 of 1 May under its own name and without the vehicle: one visit."""
    branch = {"shop": "South", "opened_on": "2020-05-01", "document": "r7", "total_cost": 100.0, "note": "transfer"}
    records = build(file("a.csv", [_row("2020-05-01", "2020-05-04", document="R-7", total_cost=100.0)]), file("b.csv", [branch]))
    assert _fates(records) == ["accepted", "merged"]
    assert records.frames["visits"].loc[0, ["shop", "total_cost", "note"]].tolist() == ["North", 100.0, "transfer"]


@pytest.mark.parametrize(("second", "events"), [("2020-05-03", 1), ("2020-05-04", 2), ("2020-05-07", 2), ("2020-05-01", 1)])
def test_only_what_was_opened_before_the_release_is_the_same_visit(build: Build, file: Make, second: str, events: int) -> None:
    """Released on 4 May. Opened on the 1st or 3rd: one event. Opened on the 4th or on day 3 after (the 7th): a come-back, kept."""
    rows = [_row("2020-05-01", "2020-05-04", document="7"), _row(second, "2020-05-09", document="8", total_cost=50.0)]
    assert len(build(file("a.csv", rows)).frames["visits"]) == events


def test_rows_far_apart_stay_apart_even_in_a_long_stay(build: Build, file: Make) -> None:
    """duplicate_days is 14: an order opened on day 20 of a stay of 30 days is another event, one of day 14 is not."""
    long = _row("2020-05-01", "2020-05-31", document="7")
    assert len(build(file("a.csv", [long, _row("2020-05-21", "2020-05-31", document="8")])).frames["visits"]) == 2
    assert len(build(file("a.csv", [long, _row("2020-05-15", "2020-05-31", document="8")])).frames["visits"]) == 1


def test_a_hand_over_to_another_shop_is_two_visits(build: Build, file: Make) -> None:
    """North sends the vehicle on while its order is still open; South's visit stays its own. Without that action they are one."""
    north, south = _row("2020-05-01", "2020-05-06", document="7", action="ACT_SENT_ON"), _row("2020-05-04", "2020-05-09", shop="South", document="8")
    assert len(build(file("a.csv", [north, south])).frames["visits"]) == 2
    assert len(build(file("a.csv", [north | {"action": "ACT_DIAGNOSE"}, south])).frames["visits"]) == 1


def test_reports_of_renter_and_roadside_join_the_visit_that_follows(build: Build, file: Make) -> None:
    """Complaints telephoned on 1 and 2 May (never released) and the visit of 3 to 8 May are one event; the visit leads it.

    A visit of 9 May, after the release, is not drawn in by the reports.
    """
    call = {"vehicle_id": "C-1", "shop": "Desk"}
    reports = [call | {"complaint_on": "2020-05-01", "symptom": "SYM_WEAK"}, call | {"complaint_on": "2020-05-02"}]
    visits = [_row("2020-05-03", "2020-05-08", document="7"), _row("2020-05-09", "2020-05-10", document="8")]
    records = build(file("a_calls.csv", reports), file("north.csv", visits))
    assert records.frames["visits"]["visit_id"].tolist() == ["North:7", "North:8"]
    first = records.frames["visits"].iloc[0]
    assert (first["shop"], first["symptom"], first["complaint_on"]) == ("North", "SYM_WEAK", pd.Timestamp("2020-05-01"))


@pytest.mark.parametrize("estimate", [{"document": "7", "status": "open", "total_cost": 90.0}, {"shop": "Van", "status": "open"}])
def test_what_began_with_a_closed_visit_ends_with_it(build: Build, file: Make, estimate: dict[str, Any]) -> None:
    """An open estimate, or a call of the roadside van, of the day of a visit that was released on the 4th does not reach the come-back of the 9th."""
    visit, again = _row("2020-05-01", "2020-05-04", document="7", total_cost=100.0), _row("2020-05-09", "2020-05-10", document="9", total_cost=50.0)
    visits = build(file("a.csv", [_row("2020-05-01", **estimate), visit, again])).frames["visits"]
    assert visits["document"].tolist() == ["7", "9"]


@pytest.mark.parametrize(("first", "events"), [({"status": "open"}, 1), ({"status": "closed"}, 2), ({"total_cost": 80.0}, 2), ({}, 1)])
def test_a_row_without_a_release_day_reaches_on_only_while_it_is_open(build: Build, file: Make, first: dict[str, Any], events: int) -> None:
    """In on 1 May, release unknown; the next order is of 5 May. Closed or billed: the vehicle was gone, two visits. Open or a bare report: one."""
    rows = [{"vehicle_id": "C-1", "shop": "North", "date_in": "2020-05-01", "document": "7", **first}, _row("2020-05-05", "2020-05-09", document="8")]
    assert len(build(file("a.csv", rows)).frames["visits"]) == events


@pytest.mark.parametrize("number", ["7", "7B"])
def test_bills_of_one_visit_are_added_and_copies_are_not(build: Build, file: Make, number: str) -> None:
    """300 for the fleet and 200 for the insurer make 500 (3 h and 1 h make 4 h), on one order number or two; 300 again as '7-W' adds nothing."""
    rows = [
        _row("2020-05-01", "2020-05-05", document="7", total_cost=300.0, labour_hours=3.0, payer="fleet"),
        _row("2020-05-01", "2020-05-05", document=number, total_cost=200.0, labour_hours=1.0, payer="insurer"),
        _row("2020-05-01", "2020-05-05", document="7-W", total_cost=300.0, labour_hours=3.0, payer="warranty"),
    ]
    visit = build(file("a.csv", rows)).frames["visits"].iloc[0]
    assert (visit["total_cost"], visit["labour_hours"], visit["payer"]) == (500.0, 4.0, "several")


def test_an_estimate_and_its_invoice_are_one_bill(build: Build, file: Make) -> None:
    """Order 7 stands with 280 (reported on the 2nd) and 300 (reported on the 6th): the later one counts, not 580."""
    bills = [(280.0, "2020-05-02"), (300.0, "2020-05-06")]
    rows = [_row("2020-05-01", "2020-05-05", document="7", total_cost=amount, reported_on=day) for amount, day in bills]
    assert build(file("a.csv", rows)).frames["visits"]["total_cost"].tolist() == [300.0]


def test_parts_and_labour_on_two_lines_of_one_order_are_added(build: Build, file: Make) -> None:
    """Parts 90 on one line and labour 60 on the next, same order and payer: 150. A later line with parts and labour of 160 revises both: 160."""
    halves = [{"parts_cost": 90.0, "total_cost": 90.0}, {"labour_cost": 60.0, "total_cost": 60.0}]
    rows = [_row("2020-05-01", "2020-05-05", document="7", payer="fleet", **half) for half in halves]
    visit = build(file("a.csv", rows)).frames["visits"].iloc[0]
    assert visit[["parts_cost", "labour_cost", "total_cost"]].tolist() == [90.0, 60.0, 150.0]
    whole = _row("2020-05-01", "2020-05-05", document="7", payer="fleet", parts_cost=90.0, labour_cost=70.0, total_cost=160.0)
    assert build(file("a.csv", [*rows, whole])).frames["visits"].loc[0, "total_cost"] == 160.0


def test_a_credit_is_taken_off(build: Build, file: Make) -> None:
    """A bill of 900 and a core credited with -150 on the same order: 750."""
    rows = [_row("2020-05-01", "2020-05-05", document="7", parts_cost=amount, total_cost=amount) for amount in (900.0, -150.0)]
    assert build(file("a.csv", rows)).frames["visits"]["total_cost"].tolist() == [750.0]


def test_another_vehicle_at_the_same_time_is_another_event(build: Build, file: Make) -> None:
    """Same shop, same days, other vehicle, other order: two visits."""
    rows = [_row("2020-05-01", "2020-05-05", document="7"), _row("2020-05-01", "2020-05-05", document="8", vehicle_id="C-2")]
    assert len(build(file("a.csv", rows)).frames["visits"]) == 2


def test_checks_of_merged_rows_are_united(build: Build, file: Make) -> None:
    """Row 2 says C01 passed and row 3 (same visit) reads 64 ohm for C05 and C01 again: C01 once, C05 with its value."""
    rows = [_row("2020-05-01", "2020-05-05", document="7"), _row("2020-05-01", "2020-05-05", document="7-W")]
    said = [(2, "C01", "pass", None), (3, "C01", "pass", None), (3, "C05", "done", 64.0)]
    checks = pd.DataFrame(said, columns=["row", "check", "outcome", "value"]).assign(sheet=pd.NA, unit=pd.NA, ambient=None, elapsed_hours=None)
    found = build(file("a.csv", rows, checks=checks)).frames["checks"]
    assert found[["visit_id", "check"]].to_numpy().tolist() == [["North:7", "C01"], ["North:7", "C05"]]
    assert found["value"].tolist()[1] == 64.0
