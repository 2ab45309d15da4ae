"""The life of a unit in sentences."""

from collections.abc import Callable
from typing import Any

import pandas as pd

from fleetstats.histories import build_histories, tell_story
from fleetstats.records import Fleet


def test_the_life_of_a_unit_is_told_in_order(fleet: Callable[..., Fleet], exchange: Callable[..., dict[str, Any]], vehicle: dict[str, Any]) -> None:
    """A1: with C-1 from 2010, condemned 2015, tested healthy, put into C-2 in 2016 at age 5.0 years, still there on the day of the report."""
    other = vehicle | {"vehicle_id": "C-2", "first_cooling_unit_serial": "B1"}
    swaps = [exchange(1, "2015-01-01", "A1", "N2"), exchange(2, "2016-01-01", "B1", "A1", "used, tested healthy", vehicle_id="C-2")]
    test = {"bench_test_id": "B:1", "bench": "B", "tested_on": "2015-02-01", "outcome": "no fault found", "serial": "A1"}
    made = fleet(vehicles=[vehicle, other], visits=swaps, bench_tests=[test])
    assert tell_story(made, build_histories(made), "A1") == (
        "2010-01-01: A1 fitted to C-1 (origin new) at age 0.0 years (vehicle register)",
        "2015-01-01: A1 condemned at North, complaint SYM_NOCOOL (visit v1)",
        "2015-02-01: A1 on the bench at B: no fault found (bench test B:1)",
        "2016-01-01: A1 fitted to C-2 (used, tested healthy) at age 5.0 years (visit v2)",
        "2025-12-31: A1 still in service in C-2",
        "Now: in service in C-2.",
    )


def test_a_visit_the_unit_stayed_in_for_is_told_in_the_shop_s_words(fleet: Callable[..., Fleet], exchange: Callable[..., dict[str, Any]]) -> None:
    """A complaint of 2012 that was remedied outside the unit stands between the fitting and the removal, with what was said, called and done."""
    words = {"symptom_words": "warm", "called_words": "element open", "action_words": "new element", "certainty": "suspected"}
    remedied = {"visit_id": "r1", "shop": "North", "vehicle_id": "C-1", "date_in": pd.Timestamp("2012-05-05"), "date_out": pd.Timestamp("2012-05-06"), **words}
    made = fleet(visits=[exchange(1, "2015-01-01", "A1", "N2"), remedied])
    told = tell_story(made, build_histories(made), "A1")
    assert told[1] == "2012-05-05: C-1 at North: 'warm', called 'element open' (suspected), done 'new element'; the unit stayed in (visit r1)"
    assert told[-1] == "Now: in no vehicle of these records; last heard of on 2015-01-01."


def test_where_a_unit_went_outside_of_vehicles_is_told(fleet: Callable[..., Fleet], exchange: Callable[..., dict[str, Any]]) -> None:
    """A1, condemned in 2015, went from the yard to the bench in March: that is the last that was heard of it."""
    moved = {"serial": "A1", "date": pd.Timestamp("2015-03-01"), "from": "yard", "to": "bench", "state": "bench"}
    made = fleet(visits=[exchange(1, "2015-01-01", "A1", "N2")], unit_moves=[moved])
    told = tell_story(made, build_histories(made), "A1")
    assert told[-2:] == ("2015-03-01: A1 from yard to bench: bench (unit_moves)", "Now: in no vehicle of these records; last heard of on 2015-03-01.")


def test_a_vehicle_s_story_names_every_unit(fleet: Callable[..., Fleet], exchange: Callable[..., dict[str, Any]]) -> None:
    """C-1 held A1 until 2015 and N2 since; a name nobody knows has no story."""
    made = fleet(visits=[exchange(1, "2015-01-01", "A1", "N2")])
    told = tell_story(made, build_histories(made), "C-1")
    assert [sentence[:14] for sentence in told] == ["2010-01-01: A1", "2015-01-01: A1", "2015-01-01: N2", "2025-12-31: N2"]
    assert tell_story(made, build_histories(made), "Z-9") == ()


def test_a_vehicle_outside_the_register_is_not_said_to_stand_in_it(fleet: Callable[..., Fleet], exchange: Callable[..., dict[str, Any]]) -> None:
    """C-9 is known from a visit alone: its first unit was met there, and nobody knows since when."""
    made = fleet(visits=[exchange(1, "2015-01-01", "A9", "N9", vehicle_id="C-9")])
    told = tell_story(made, build_histories(made), "C-9")
    assert "for the first time; since when is not known" in told[0]
    assert not any("vehicle register" in sentence for sentence in told)
