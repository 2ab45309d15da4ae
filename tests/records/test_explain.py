"""From a name to the rows behind it."""

from collections.abc import Callable

import pytest

from fleetstats.errors import InputRefused
from fleetstats.records import Fleet, explain
from fleetstats.records.build import Records
from fleetstats.settings import Settings
from fleetstats.sources import SourceFile


@pytest.fixture(scope="module")
def fleet(build: Callable[..., Records], file: Callable[..., SourceFile]) -> Fleet:
    """Vehicle C-118 with unit K100123; its order 7 stands in two files, K100123 read there with an O."""
    visit = {
        "vehicle_id": "118", "shop": "North", "date_in": "2020-05-01", "date_out": "2020-05-04", "document": "7",
        "removed_serial": "K1O0123", "fitted_serial": "K100999", "fitted_kind": "unit",
    }
    register = file("register.csv", [{"vehicle_id": "C-118", "first_cooling_unit_serial": "K100123"}], "vehicles")
    bench = file("bench.csv", [{"bench": "B", "bench_test_id": "1", "serial": "k100123", "tested_on": "2020-06-01"}], "bench_tests")
    return Fleet.from_tables(build(register, bench, file("a.csv", [visit]), file("b.csv", [visit])).frames, Settings(as_of="2025-12-31"))


def test_a_visit_is_explained_by_its_rows(fleet: Fleet) -> None:
    """North:7 came from row 2 of a.csv (with what was inferred) and row 2 of b.csv, merged."""
    found = explain(fleet, "North:7")
    assert (found.kind, found.rows["file"].tolist(), found.rows["fate"].tolist()) == ("visit", ["a.csv", "b.csv"], ["accepted", "merged"])
    assert found.rows.loc[0, "reason"] == "vehicle read as 118 (digits alone); removed serial: confusion of letters, read as K1O0123"


def test_a_unit_is_found_by_any_spelling(fleet: Fleet) -> None:
    """'k-100123' is K100123: its vehicle, its visit (two rows) and its bench test."""
    found = explain(fleet, "k-100123")
    assert (found.kind, found.name) == ("unit", "K100123")
    assert found.rows["table"].tolist() == ["bench_tests", "vehicles", "visits", "visits"]


def test_an_unknown_name_is_refused_with_the_nearest(fleet: Fleet) -> None:
    """'C-119' is nobody; C-118 is near."""
    with pytest.raises(InputRefused, match="The nearest names are C-118"):
        explain(fleet, "C-119")
