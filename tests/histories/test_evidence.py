"""Bench tests and come-backs joined to removals, and faults outside the unit."""

from collections.abc import Callable
from typing import Any

import pytest

from fleetstats.histories import Histories

History = Callable[..., Histories]
Swap = Callable[..., dict[str, Any]]


def _test(number: int, day: str, outcome: str = "no fault found", **more: Any) -> dict[str, Any]:
    return {"bench_test_id": f"B:{number}", "bench": "B", "tested_on": day, "outcome": outcome, "why_tested": "all", **more}


def test_a_test_joins_by_visit_serial_or_vehicle(history: History, exchange: Swap) -> None:
    """A1 removed 2015-01-01, N2 removed 2018-01-01. By visit v1; by serial N2; by vehicle C-1 within a year; each finds its removal."""
    swaps = [exchange(1, "2015-01-01", "A1", "N2"), exchange(2, "2018-01-01", "N2", "N3")]

    def verdicts(test: dict[str, Any]) -> list[str]:
        return history(visits=swaps, bench_tests=[test]).tenures["bench_test_id"].fillna("").tolist()

    assert verdicts(_test(1, "2019-01-01", visit_id="v1")) == ["B:1", "", ""]
    assert verdicts(_test(1, "2018-02-01", serial="N2")) == ["", "B:1", ""]
    assert verdicts(_test(1, "2015-03-01", vehicle_id="C-1")) == ["B:1", "", ""]
    assert verdicts(_test(1, "2015-03-01", vehicle_id="C-1", serial="Z9")) == ["", "", ""]


def test_a_test_that_names_only_the_vehicle_goes_where_it_fits(history: History, exchange: Swap) -> None:
    """A1 out in September (box warm), N2 out in October (residue). A test of N2 by serial and one of 'C-1, box warm': the latter judges A1.

    Without the claim and the other test the last removal would be taken.
    """
    swaps = [exchange(1, "2015-09-18", "A1", "N2", symptom="SYM_BOXWARM"), exchange(2, "2015-10-08", "N2", "N3", symptom="SYM_RESIDUE")]
    nameless = _test(1, "2015-10-18", vehicle_id="C-1")

    def verdicts(*tests: dict[str, Any]) -> list[str]:
        return history(visits=swaps, bench_tests=list(tests)).tenures["bench_test_id"].fillna("").tolist()

    assert verdicts(nameless) == ["", "B:1", ""]
    assert verdicts(nameless | {"sender_symptom": "SYM_BOXWARM"}) == ["B:1", "", ""]
    assert verdicts(nameless, _test(2, "2015-12-06", serial="N2")) == ["B:1", "B:2", ""]


def test_a_test_before_the_removal_is_no_verdict_on_it(history: History, exchange: Swap) -> None:
    """A1 tested 2014-12-01, removed 2015-01-01: not joined, and counted so."""
    found = history(visits=[exchange(1, "2015-01-01", "A1", "N2")], bench_tests=[_test(1, "2014-12-01", serial="A1")])
    assert found.n_unjoined_bench_tests == 1
    assert found.tenures["bench_outcome"].isna().all()


def test_of_several_removals_of_one_serial_the_last_before_the_test_counts(history: History, exchange: Swap) -> None:
    """A1 removed and put back 2015, removed again 2018: the test of 2015-02 belongs to the first stay, that of 2018-02 to the second."""
    swaps = [exchange(1, "2015-01-01", "A1", "A1", "own unit put back"), exchange(2, "2018-01-01", "A1", "N3")]
    tests = [_test(1, "2015-02-01", serial="A1"), _test(2, "2018-02-01", "fault confirmed", serial="A1")]
    assert history(visits=swaps, bench_tests=tests).tenures["bench_outcome"].fillna("").tolist() == ["no fault found", "fault confirmed", ""]


def test_a_unit_opened_before_the_test_and_a_late_report_are_no_verdicts(history: History, exchange: Swap) -> None:
    """as_received false, or reported after the day of the report: neither joins, neither is counted as unjoined."""
    swap = exchange(1, "2015-01-01", "A1", "N2")
    for more in ({"as_received": False}, {"reported_on": "2026-02-01"}):
        found = history(visits=[swap], bench_tests=[_test(1, "2015-02-01", serial="A1", **more)])
        assert (found.n_unjoined_bench_tests, int(found.tenures["bench_outcome"].notna().sum())) == (0, 0)


def test_the_first_definite_verdict_stands(history: History, exchange: Swap) -> None:
    """Inconclusive in February, fault confirmed in March: the second is the verdict."""
    tests = [_test(1, "2015-02-01", "inconclusive", serial="A1"), _test(2, "2015-03-01", "fault confirmed", serial="A1")]
    assert history(visits=[exchange(1, "2015-01-01", "A1", "N2")], bench_tests=tests).tenures.loc[0, "bench_test_id"] == "B:2"


def test_a_planned_removal_takes_no_verdict_but_its_test_is_joined(history: History, exchange: Swap) -> None:
    """The verdict column speaks of condemned units only; the test has a removal, so it is not unjoined."""
    swap = exchange(1, "2015-01-01", "A1", "N2", removal_reason="age policy")
    found = history(visits=[swap], bench_tests=[_test(1, "2015-02-01", serial="A1")])
    assert (found.tenures["bench_outcome"].notna().any(), found.n_unjoined_bench_tests) == (False, 0)


@pytest.mark.parametrize(
    ("start", "symptom", "answer"),
    [("2015-01-04", "SYM_WEAK", "yes"), ("2015-01-31", "SYM_NOCOOL", "yes"), ("2015-02-01", "SYM_NOCOOL", "no"), ("2015-01-04", "SYM_DOOR", "no")],
)
def test_a_complaint_about_cooling_soon_after_is_a_come_back(history: History, exchange: Swap, start: str, symptom: str, answer: str) -> None:
    """Released 2015-01-01, window 30 days: 4 and 31 January are within it, 1 February is not; a door is no complaint about cooling."""
    again = {"visit_id": "v2", "vehicle_id": "C-1", "shop": "North", "opened_on": start, "date_in": start, "date_out": "2015-02-05", "symptom": symptom}
    assert history(visits=[exchange(1, "2015-01-01", "A1", "N2"), again]).tenures.loc[0, "come_back"] == answer


def test_a_come_back_cannot_be_seen_where_nobody_looks(history: History, exchange: Swap, vehicle: dict[str, Any]) -> None:
    """Sold 10 days after; records end 10 days after; a vehicle with sightings but none in the window: not observable. Seen in it: no."""
    swap = exchange(1, "2015-01-01", "A1", "N2")
    sold = history(vehicles=[vehicle | {"out_of_service": "2015-01-11"}], visits=[swap])
    assert sold.tenures.loc[0, "come_back"] == "not observable"
    ends = [{"shop": "North", "serves": "Hill", "covers_from": "2012-01-01", "covers_to": "2015-01-11"}]
    assert history(shops=ends, visits=[swap]).tenures.loc[0, "come_back"] == "not observable"
    seen = {"vehicle_id": "C-1", "working": True}
    assert history(visits=[swap], sightings=[seen | {"date": "2015-04-01"}]).tenures.loc[0, "come_back"] == "not observable"
    assert history(visits=[swap], sightings=[seen | {"date": "2015-01-20"}]).tenures.loc[0, "come_back"] == "no"


def test_visits_that_left_the_unit_are_component_events(history: History, exchange: Swap) -> None:
    """An element for 'no cooling on mains' is a cooling complaint, a door seal is not; an exchange and a vehicle sent on are no events."""
    base = {"vehicle_id": "C-1", "shop": "North", "date_in": "2016-05-01", "date_out": "2016-05-02"}
    visits = [
        exchange(1, "2015-01-01", "A1", "N2"), base | {"visit_id": "v2", "symptom": "SYM_NOCOOL_AC", "called_item": "HE_AC", "complaint_on": "2016-04-30"},
        base | {"visit_id": "v3", "date_in": "2017-05-01", "date_out": "2017-05-01", "symptom": "SYM_DOOR", "called_item": "CB_GASKET"},
        base | {"visit_id": "v4", "date_in": "2018-05-01", "date_out": "2018-05-01", "symptom": "SYM_NOCOOL", "action": "ACT_SENT_ON"},
        base | {"visit_id": "v5", "date_in": "2019-05-01", "date_out": "2019-05-01"},
    ]
    events = history(visits=visits).component_events
    assert events[["visit_id", "item", "cooling_complaint", "depot"]].to_numpy().tolist() == [["v2", "HE_AC", True, "Hill"], ["v3", "CB_GASKET", False, "Hill"]]
    assert str(events.loc[0, "date"].date()) == "2016-04-30"


def test_events_are_counted_only_where_years_are(history: History) -> None:
    """Watched 2012-01-01 to 2020-06-30: complaints of 2011 and 2021 are no events, those of the first and the last day are."""
    shop = {"shop": "North", "serves": "Hill", "covers_from": "2012-01-01", "covers_to": "2020-06-30"}
    days = ["2011-12-31", "2012-01-01", "2020-06-30", "2020-07-01"]
    visits = [{"visit_id": f"v{n}", "vehicle_id": "C-1", "shop": "North", "date_in": day, "date_out": day, "symptom": "SYM_WEAK"} for n, day in enumerate(days)]
    found = history(shops=[shop], visits=visits)
    assert found.component_events["visit_id"].tolist() == ["v1", "v2"]
    assert found.exposure["years"].sum() == pytest.approx(3103 / 365.25)


def test_a_fleet_without_any_record_has_empty_histories(history: History) -> None:
    """No vehicles, no visits: no tenures, no exposure, no failure of the program."""
    found = history(vehicles=[], shops=[])
    assert (len(found.tenures), len(found.exposure), len(found.component_events)) == (0, 0, 0)
