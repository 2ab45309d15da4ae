"""What no event may hold together, whatever links it."""

from collections.abc import Callable
from typing import Any

import pytest

from fleetstats.records.build import Records
from fleetstats.sources import SourceFile

Build = Callable[..., Records]
Make = Callable[..., SourceFile]


def _stay(start: str, end: str | None, number: str, **more: Any) -> dict[str, Any]:
    closed = "closed" if end else "open"
    return {"vehicle_id": "C-1", "shop": "North", "opened_on": start, "date_in": start, "date_out": end, "status": closed, "document": number, **more}


def _exchange(start: str, end: str, number: str, removed: str, fitted: str) -> dict[str, Any]:
    return _stay(start, end, number, removed_serial=removed, fitted_serial=fitted, fitted_kind="unit", removal_reason="fault of the unit")


@pytest.mark.parametrize(("second", "visits"), [(("K200", "K300"), 3), (("K700", "K800"), 3), (("K100", "K200"), 1), (("K200", "K100"), 1)])
def test_a_third_row_does_not_join_two_exchanges(build: Build, file: Make, second: tuple[str, str], visits: int) -> None:
    """K100 out, K200 in; five days later K200 out, K300 in (or other units altogether); an order of the whole time overlaps both.

    Three visits, the order left apart and told. Where the second exchange names the same units, in whatever column, all is one visit.
    """
    rows = [
        _exchange("2020-05-01", "2020-05-03", "1", "K100", "K200"), _exchange("2020-05-06", "2020-05-08", "2", *second), _stay("2020-05-02", "2020-05-09", "3"),
    ]
    records = build(file("a.csv", rows))
    assert len(records.frames["visits"]) == visits
    told = records.frames["rejects"].query("column == 'visit_id'")
    assert told["row"].tolist() == ([4] if visits == 3 else [])
    apart = records.frames["lineage"].set_index("row").loc[4, "reason"]
    assert (apart == "left apart: could belong to two different visits") == (visits == 3)


def test_a_row_linked_to_one_exchange_alone_stays_with_it(build: Build, file: Make) -> None:
    """Two chained exchanges of overlapping orders are two visits; a report that only the first's order covers joins the first."""
    rows = [
        _exchange("2020-05-01", "2020-05-06", "1", "K100", "K200"), _exchange("2020-05-05", "2020-05-08", "2", "K200", "K300"),
        _stay("2020-05-02", "2020-05-03", "3"),
    ]
    records = build(file("a.csv", rows))
    assert records.frames["lineage"]["record_id"].tolist() == ["North:1", "North:2", "North:1"]
    assert records.frames["rejects"].empty


def test_a_document_without_a_vehicle_that_fits_two_vehicles_is_left_apart(build: Build, file: Make) -> None:
    """Order 7 of 100.00 of 1 May stands for C-1 in one shop and for C-2 in another; a third row of that number names no vehicle: no choice is made.

    With C-1's row alone it joins C-1.
    """
    bill = _stay("2020-05-01", "2020-05-03", "7", total_cost=100.0)
    nameless, other = bill | {"vehicle_id": None, "shop": "Branch"}, bill | {"vehicle_id": "C-2", "shop": "South"}
    records = build(file("a.csv", [bill, other, nameless]))
    assert len(records.frames["visits"]) == 3
    assert records.frames["rejects"][["row", "what"]].to_numpy().tolist() == [[4, "could belong to two different visits; the row was left apart"]]
    assert len(build(file("a.csv", [bill, nameless])).frames["visits"]) == 1


def test_an_open_row_s_copy_does_not_end_its_reach(build: Build, file: Make) -> None:
    """An open order of 1 May stands twice; the invoice of 5 May is still opened before the release: one visit of three rows."""
    order = _stay("2020-05-01", None, "7")
    assert len(build(file("a.csv", [order, order, _stay("2020-05-05", "2020-05-09", "8")])).frames["visits"]) == 1
