"""The quality account, against hand arithmetic on small fleets and against the demo's own tables."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from fleetstats.records import Fleet
from fleetstats.records.completeness import by_source, completeness
from fleetstats.records.delays import last_year, reporting_delays
from fleetstats.records.gaps import find_gaps
from fleetstats.settings import Settings


def fleet_of(visits: list[dict[str, Any]], reasons: dict[str, str] | None = None, **more: pd.DataFrame) -> Fleet:
    """A fleet whose visits came from the source before the colon of their identifier. reasons: visit -> what was inferred."""
    frame = pd.DataFrame(visits)
    for name in ("date_in", "date_out", "reported_on"):
        if name in frame:
            frame[name] = pd.to_datetime(frame[name])
    source = frame["visit_id"].str.split(":").str[0]
    lineage = pd.DataFrame({"table": "visits", "record_id": frame["visit_id"], "file": source + ".csv", "row": range(2, len(frame) + 2), "fate": "accepted",
                            "reason": frame["visit_id"].map(reasons or {})})
    files = pd.DataFrame({"file": sorted(set(lineage["file"])), "sha256": "x", "source": sorted(set(source))})
    return Fleet.from_tables({"visits": frame, "lineage": lineage, "files": files, **more}, Settings(as_of="2025-12-31"))


def test_a_field_is_counted_only_where_it_should_stand() -> None:
    """A serial is wanted of removals alone: one of two removals names it, the third visit is no removal."""
    fleet = fleet_of([
        {"visit_id": "a:1", "vehicle_id": "V1", "removal_reason": "fault of the unit", "removed_serial": "K1", "date_in": "2024-01-02"},
        {"visit_id": "a:2", "vehicle_id": "V2", "removal_reason": "fault of the unit", "date_in": "2024-02-02"},
        {"visit_id": "a:3", "date_in": "2025-02-02"},
    ])
    whole = by_source(completeness(fleet)).set_index("field")
    assert whole.loc["removed_serial", ["wanted", "filled"]].tolist() == [2, 1]
    assert whole.loc["vehicle_id", "share"] == pytest.approx(2 / 3)


def test_a_serial_from_the_chain_was_not_written() -> None:
    """What the chain gave is there for the histories, and still counts as not written in the file."""
    visits = [{"visit_id": "a:1", "vehicle_id": "V1", "removal_reason": "fault of the unit", "removed_serial": "K1", "date_in": "2024-01-02"}]
    fleet = fleet_of(visits, {"a:1": "removed serial: from the chain"})
    assert by_source(completeness(fleet)).set_index("field").loc["removed_serial", "filled"] == 0
    assert {gap.name: gap.count for gap in find_gaps(fleet)}["serial from the chain"] == 1


def test_the_trend_compares_the_later_half_of_the_years_with_the_earlier() -> None:
    """Four years of 20 visits: all paid in the first two, half of them in the last two: 50 points lower; with 19 visits a half nothing is said."""
    def visits(per_year: int) -> list[dict[str, Any]]:
        return [{"visit_id": f"a:{year}-{k}", "date_in": f"{year}-03-01", "date_out": f"{year}-03-02", "total_cost": 10.0 if year < 2022 or k % 2 else None,
                 "price_basis": "USD 2025-01 net"} for year in range(2020, 2024) for k in range(per_year)]

    money = by_source(completeness(fleet_of(visits(10)))).set_index("field").loc["money"]
    assert (money["wanted"], money["filled"], money["trend"]) == (40, 30, pytest.approx(-0.5))
    assert pd.isna(by_source(completeness(fleet_of(visits(9)))).set_index("field").loc["money", "trend"])


def test_delays_are_days_from_release_to_report() -> None:
    """Delays of 1, 3 and 11 days in one quarter: median 3, nine in ten within 9.4 (linear between order statistics, as numpy); one reported early."""
    fleet = fleet_of([
        {"visit_id": f"a:{k}", "date_out": "2024-05-10", "reported_on": f"2024-05-{10 + days}"} for k, days in enumerate((1, 3, 11))
    ] + [{"visit_id": "b:1", "date_out": "2024-05-10", "reported_on": "2024-05-09"}])
    delays = reporting_delays(fleet).set_index("source")
    assert delays.loc["a", ["quarter", "records", "median_days", "most_days", "negative"]].tolist() == ["2024-Q2", 3, 3.0, pytest.approx(9.4), 0]
    assert delays.loc["b", "negative"] == 1


def test_the_last_four_quarters_are_held_against_those_before() -> None:
    """Five quarters: delay 2 days in the first, 40 in the four after it."""
    days = ["2023-11-10", "2024-02-10", "2024-05-10", "2024-08-10", "2024-11-10"]
    late = [2, 40, 40, 40, 40]
    fleet = fleet_of([{"visit_id": f"a:{k}", "date_out": day, "reported_on": str(pd.Timestamp(day) + pd.Timedelta(days=wait))[:10]}
                      for k, (day, wait) in enumerate(zip(days, late, strict=True))])
    told = last_year(reporting_delays(fleet)).iloc[0]
    assert (told["records"], told["median_days"], told["before_days"]) == (4, 40.0, 2.0)


def test_gaps_name_what_they_cost() -> None:
    """One of two removals has no serial at all: the sentence has both numbers and the price of the gap; a gap that nobody has is not told."""
    fleet = fleet_of([
        {"visit_id": "a:1", "vehicle_id": "V1", "removal_reason": "fault of the unit", "removed_serial": "K1", "date_in": "2024-01-02"},
        {"visit_id": "a:2", "vehicle_id": "V1", "removal_reason": "fault of the unit", "date_in": "2024-02-02"},
    ])
    gaps = {gap.name: gap for gap in find_gaps(fleet)}
    assert gaps["removal without a serial"].sentence == "1 of 2 removals have no serial: their bench results cannot be joined."
    assert "visit without a vehicle" not in gaps


def test_the_demo_counts_what_its_tables_hold(demo_fleet: Fleet) -> None:
    """Over all sources, `filled` of the vehicle number is the number of visits that have one, and every visit is wanted once."""
    whole = by_source(completeness(demo_fleet))
    rows = whole[(whole["table"] == "visits") & (whole["field"] == "vehicle_id")]
    assert rows["wanted"].sum() == len(demo_fleet.visits)
    assert rows["filled"].sum() == demo_fleet.visits["vehicle_id"].notna().sum()


def test_an_amount_without_a_total_is_a_gap() -> None:
    """One of two visits with an amount states its parts alone: told, and not counted among those without money."""
    basis = {"date_out": "2024-01-02", "price_basis": "EUR 2024-01 net"}
    fleet = fleet_of([{"visit_id": "a:1", "parts_cost": 9.0, **basis}, {"visit_id": "a:2", "total_cost": 9.0, **basis},
                      {"visit_id": "a:3", "date_out": "2024-01-02"}])
    gaps = {gap.name: (gap.count, gap.of) for gap in find_gaps(fleet)}
    assert (gaps["total not stated"], gaps["visit without money"]) == ((1, 2), (1, 3))


def test_a_total_below_its_parts_is_a_gap() -> None:
    """143.00 beside 48.90 + 95.00 is told; a cent of rounding is not."""
    basis = {"price_basis": "EUR 2024-01 net", "labour_cost": 95.0}
    fleet = fleet_of([{"visit_id": f"a:{total}", "parts_cost": 48.90, "total_cost": total, **basis} for total in (143.00, 143.89)])
    gaps = {gap.name: (gap.count, gap.of) for gap in find_gaps(fleet)}
    assert gaps["total contradicted"] == (1, 2)
