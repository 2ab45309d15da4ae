"""Identities, corrections, the door and the account."""

import random
from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.errors import InputRefused
from fleetstats.records.build import Records, build_records
from fleetstats.records.ledger import account
from fleetstats.settings import Settings
from fleetstats.sources import SourceFile

Build = Callable[..., Records]
Make = Callable[..., SourceFile]
REGISTER = [{"vehicle_id": "C-118", "first_cooling_unit_serial": "K100123"}, {"vehicle_id": "C-204", "first_cooling_unit_serial": "K100200"}]


def _visit(**more: Any) -> dict[str, Any]:
    return {"vehicle_id": "C-118", "shop": "North", "date_in": "2020-05-01", "date_out": "2020-05-04", "status": "closed", "document": "7", **more}


def test_identities_are_resolved_and_say_how(build: Build, file: Make) -> None:
    """'0118' is C-118, the removed 'K1O0123' is K100123 of the register: both told in the lineage of the row."""
    visit = _visit(vehicle_id="0118", removed_serial="K1O0123", fitted_serial="K100999", fitted_kind="unit")
    records = build(file("register.csv", REGISTER, "vehicles"), file("north.csv", [visit]))
    assert records.frames["visits"].loc[0, ["vehicle_id", "removed_serial", "fitted_serial"]].tolist() == ["C-118", "K100123", "K100999"]
    told = records.frames["lineage"].query("file == 'north.csv'")["reason"].item()
    assert told == "vehicle read as 0118 (digits alone); removed serial: confusion of letters, read as K1O0123"


def test_an_unknown_vehicle_is_kept_and_reported_once_per_file(build: Build, file: Make) -> None:
    """'X-9' is not in the register: both visits stay, one line of rejects (scope remark: nothing is lost) names it."""
    rows = [_visit(vehicle_id="X-9"), _visit(vehicle_id="X-9", document="8", date_in="2021-05-01", date_out="2021-05-02")]
    records = build(file("register.csv", REGISTER, "vehicles"), file("north.csv", rows))
    assert records.frames["visits"]["vehicle_id"].tolist() == ["X-9", "X-9"]
    assert records.frames["rejects"][["file", "row", "column", "scope", "found"]].to_numpy().tolist() == [["north.csv", 2, "vehicle_id", "remark", "X-9"]]


def test_a_correction_replaces_the_row_of_the_named_source(build: Build, file: Make) -> None:
    """The supplement's order 7 of North replaces North's row (100 becomes 120) but not South's order 7, whatever the file order."""
    old, south = _visit(total_cost=100.0), _visit(shop="South", vehicle_id="C-204", total_cost=80.0)
    files = [
        file("north.csv", [old]), file("south.csv", [south]),
        file("a_supplement.csv", [_visit(total_cost=120.0)], source="supplement", corrects=("north", "south")),
    ]
    records = build(*files)
    visits = records.frames["visits"].set_index("visit_id")["total_cost"]
    assert visits.to_dict() == {"North:7": 120.0, "South:7": 80.0}
    lineage = records.frames["lineage"].set_index("file")
    assert lineage.loc["north.csv", ["fate", "record_id"]].tolist() == ["superseded", "North:7"]
    assert lineage.loc["a_supplement.csv", "fate"] == "accepted"


def test_the_door_refuses_rows_without_a_key_and_empties_broken_cells(build: Build, file: Make) -> None:
    """A vehicle without a number is refused; a size of 5000 litres is emptied and its row kept; both are told with place and value."""
    rows = [{"depot": "Hill"}, {"vehicle_id": "C-1", "refrigerator_size_l": 5000.0}]
    records = build(file("register.csv", rows, "vehicles"))
    assert records.frames["vehicles"]["vehicle_id"].tolist() == ["C-1"]
    assert records.frames["vehicles"]["refrigerator_size_l"].isna().all()
    told = records.frames["rejects"][["row", "column", "scope", "found"]].astype(object).where(lambda x: x.notna(), None).to_numpy().tolist()
    assert told == [[2, "vehicle_id", "row", None], [3, "refrigerator_size_l", "cell", "5000.0"]]
    assert records.frames["files"].loc[0, ["rows_read", "accepted", "rejected"]].tolist() == [2, 1, 1]


def test_a_release_before_the_arrival_is_emptied(build: Build, file: Make) -> None:
    """In on 1 May, out on 30 April: the release is unknown, and told."""
    records = build(file("north.csv", [_visit(date_out="2020-04-30")]))
    assert records.frames["visits"]["date_out"].isna().all()
    assert records.frames["rejects"][["column", "found"]].to_numpy().tolist() == [["date_out", "2020-04-30"]]


def test_other_tables_merge_repeats_by_their_key(build: Build, file: Make) -> None:
    """A vehicle in two register files, a sighting twice, one bench test under two numbers of one day and one number for two units."""
    tests = [
        {"bench": "B", "bench_test_id": "1", "serial": "K1", "tested_on": "2020-06-01", "outcome": "no fault found"},
        {"bench": "B", "bench_test_id": "9", "serial": "K1", "tested_on": "2020-06-01"},
        {"bench": "B", "bench_test_id": "1", "serial": "K2", "tested_on": "2021-06-01"},
    ]
    sighting = {"vehicle_id": "C-118", "date": "2020-01-01", "working": True}
    records = build(
        file("r1.csv", REGISTER, "vehicles"), file("r2.csv", [{"vehicle_id": "c118", "depot": "Hill"}], "vehicles"),
        file("s.csv", [sighting, sighting], "sightings"), file("bench.csv", tests, "bench_tests"),
    )
    assert records.frames["vehicles"].set_index("vehicle_id").loc["C-118", ["first_cooling_unit_serial", "depot"]].tolist() == ["K100123", "Hill"]
    assert len(records.frames["sightings"]) == 1
    assert records.frames["bench_tests"]["bench_test_id"].tolist() == ["B:1", "B:1 (2)"]


def test_a_bench_log_may_name_the_visit_by_its_order(build: Build, file: Make) -> None:
    """The log says 'R7' received from North: that is visit North:R-7."""
    log = [{"bench": "B", "bench_test_id": "1", "visit_id": "R7", "received_from": "North"}]
    records = build(file("north.csv", [_visit(document="R-7")]), file("bench.csv", log, "bench_tests"))
    assert records.frames["bench_tests"]["visit_id"].tolist() == ["North:R-7"]


def test_one_number_of_a_shop_used_in_two_years_makes_two_visits(build: Build, file: Make) -> None:
    """Order 7 of 2020 and order 7 of 2021: identifiers North:7 and North:7 (2)."""
    records = build(file("north.csv", [_visit(), _visit(date_in="2021-05-01", date_out="2021-05-03")]))
    assert records.frames["visits"]["visit_id"].tolist() == ["North:7", "North:7 (2)"]


def test_an_account_that_does_not_add_up_stops_the_import(file: Make) -> None:
    """One row of two has no fate in the lineage: refused, naming the file and both counts."""
    made = file("north.csv", [_visit(), _visit(document="8")])
    lineage = pd.DataFrame({"table": ["visits"], "file": ["north.csv"], "sheet": [pd.NA], "row": [2], "fate": ["accepted"]})
    with pytest.raises(InputRefused, match=r"north\.csv: 2 rows were read and 1 accounted for"):
        account([made], lineage)


FATES = st.lists(st.sampled_from(["set aside", "rejected", "furniture"]), max_size=5)
ROWS = st.lists(
    st.fixed_dictionaries({
        "vehicle_id": st.sampled_from(["C-118", "c118", "118", "X-1", None]), "document": st.sampled_from(["1", "2", "3", None]),
        "shop": st.sampled_from(["North", "South", None]), "date_in": st.sampled_from(["2020-05-01", "2020-05-03", "2020-05-20", None]),
        "date_out": st.sampled_from(["2020-05-02", "2020-05-04", "2020-06-01", None]), "total_cost": st.sampled_from([10.0, 20.0, None]),
        "status": st.sampled_from(["open", "closed", "half"]), "removed_serial": st.sampled_from(["K100123", "K1OO123", "K9", None]),
        "fitted_serial": st.sampled_from(["K9", "K8", None]), "labour_hours": st.sampled_from([1.0, -2.0, None]),
    }), max_size=8,
)


@settings(deadline=None, max_examples=20)
@given(parts=st.lists(st.tuples(ROWS, FATES), min_size=1, max_size=3), corrected=st.booleans(), seed=st.integers(0, 5))
def test_every_row_has_one_fate_and_the_order_of_files_changes_nothing(file: Make, parts: list[Any], corrected: bool, seed: int) -> None:
    """Property: for any rows and fates the six fates of each file sum to its rows, and shuffled files give equal tables."""
    files = [file("register.csv", REGISTER, "vehicles")]
    for number, (rows, fates) in enumerate(parts):
        told = [(100 + place, fate) for place, fate in enumerate(fates)]
        corrects = ("f0",) if corrected and number == 1 else ()
        files.append(file(f"f{number}.csv", rows, fates=told, corrects=corrects))
    windows = Settings(as_of="2025-12-31")
    records = build_records(files, windows)
    counted = records.frames["files"].set_index("file")
    assert (counted[["accepted", "merged", "superseded", "set_aside", "rejected", "furniture"]].sum(axis=1) == counted["rows_read"]).all()
    assert counted["rows_read"].to_dict() == {made.file: made.rows_read for made in files}
    assert counted.loc[counted.index != "register.csv", "accepted"].sum() == len(records.frames["visits"])
    random.Random(seed).shuffle(files)
    again = build_records(files, windows)
    for name, frame in records.frames.items():
        pd.testing.assert_frame_equal(frame, again.frames[name])
