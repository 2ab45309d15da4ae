"""Following a name back to files and rows, on three rows made by hand."""

import dataclasses
import datetime as dt

import pandas as pd
import pytest

from fleetstats.errors import InputRefused
from fleetstats.histories import Histories
from fleetstats.records import Fleet, contradicted
from fleetstats.report.trace import story
from fleetstats.settings import Settings
from fleetstats.tables import COMPONENT_EVENTS, EXPOSURE, FILES, IDENTITIES, TENURES

DAY = pd.Timestamp
FLEET = Fleet.from_tables(
    {
        "vehicles": pd.DataFrame({"vehicle_id": ["C-118"], "in_service": [DAY("2015-03-02")]}),
        "visits": pd.DataFrame({
            "visit_id": ["H:77"], "shop": ["Harbour workshop"], "vehicle_id": ["C-118"], "date_in": [DAY("2019-07-11")], "removed_serial": ["K100123"],
            "symptom": ["SYM_NOCOOL_BOTH"], "total_cost": [1234.5], "price_basis": ["USD 2019-07 net"],
        }),
        "bench_tests": pd.DataFrame({
            "bench_test_id": ["B1"], "serial": ["K100123"], "tested_on": [DAY("2019-08-02")], "outcome": ["no fault found"], "bench": ["Harbour bench"],
        }),
        "lineage": pd.DataFrame({
            "table": ["visits", "visits", "bench_tests", "vehicles"], "record_id": ["H:77", "H:77", "B1", "C-118"],
            "file": ["harbour.csv", "copy.csv", "bench.csv", "register.csv"], "row": [412, 9, 3, 118], "fate": ["accepted", "merged", "accepted", "accepted"],
            "reason": [None, "same order and amount", None, None],
        }),
    },
    Settings(as_of=dt.date(2025, 12, 31)),
)
TENURE = {
    "tenure_id": "C-118/2015-03-02", "vehicle_id": "C-118", "serial": "K100123", "serial_basis": "confusion of letters", "origin": "new",
    "installed": DAY("2015-03-02"), "ended": DAY("2019-07-11"), "unit_age_at_installed_years": 0.0, "entered_years": 0.0, "ended_years": 4.36,
    "last_good_years": 4.36, "ending": "condemned", "shop": "Harbour workshop", "bench_outcome": "no fault found", "bench_test_id": "B1", "ended_by": "H:77",
}
HISTORIES = Histories(
    tenures=TENURES.check(pd.DataFrame([TENURE])), component_events=COMPONENT_EVENTS.empty(), exposure=EXPOSURE.empty(), n_unjoined_bench_tests=0, summary={},
)


def test_a_visit_names_every_row_it_came_from():
    """Both rows stand there, with the fate of each and why one was merged."""
    told = "\n".join(story(FLEET, HISTORIES, "H:77"))
    assert "harbour.csv, row 412 (accepted)" in told
    assert "copy.csv, row 9 (merged: same order and amount)" in told
    assert "1,234.50, stated in USD 2019-07 net" in told


def test_a_unit_is_told_from_fitting_to_bench():
    """Fitted, condemned, bench verdict in the order of days; the rows of the visit and of the test behind it."""
    told = story(FLEET, HISTORIES, "K100123")
    assert told[0] == "Unit K100123"
    assert [line[:10] for line in told[1:4]] == ["2015-03-02", "2019-07-11", "2019-08-02"]
    assert "no fault found" in told[3]
    assert "  bench_tests B1: bench.csv, row 3 (accepted)" in told


def test_a_vehicle_names_its_register_row():
    """The units it had, then every row that made its records."""
    told = story(FLEET, HISTORIES, "C-118")
    assert told[0] == "Vehicle C-118"
    assert "  vehicles C-118: register.csv, row 118 (accepted)" in told


def test_an_unknown_name_is_refused_with_the_nearest():
    """A slip of one letter is met with the name that was meant."""
    with pytest.raises(InputRefused, match="K100123"):
        story(FLEET, HISTORIES, "K10012B")


def test_doubts_name_what_was_not_written_literally():
    """A serial misread in a file stands among the doubts with what was written, where, its score and the reasons; without any, none is said."""
    told = story(FLEET, HISTORIES, "K100123")
    assert "Doubts: none." in told
    misread = pd.DataFrame([{"file": "harbour.csv", "row": 412, "rows": 1, "table": "visits", "column": "removed_serial", "written": "K1O0123",
                             "read_as": "K100123", "score": 0.97, "reasons": "one sign misread"}])
    doubtful = story(dataclasses.replace(FLEET, identities=IDENTITIES.check(misread)), HISTORIES, "K100123")
    assert "  removed_serial 'K1O0123' in harbour.csv, row 412 read as K100123 (score 0.97): one sign misread" in doubtful


def test_an_amount_without_a_total_is_told_by_its_parts():
    """Parts and labour stated, no total: both, their sum, and that no total is stated."""
    visits = FLEET.visits.assign(total_cost=float("nan"), parts_cost=900.0, labour_cost=240.0)
    told = story(dataclasses.replace(FLEET, visits=visits), HISTORIES, "H:77")
    assert "total cost: 900.00 + 240.00 = 1,140.00, total not stated, in USD 2019-07 net" in told


def test_a_total_that_does_not_fit_its_parts_is_a_doubt():
    """48.90 + 95.00 beside 143.00, gross at 19 %: a doubt in the money of the file, and the amount both net and as stated; 143.90 is none."""
    files = pd.DataFrame({"file": ["copy.csv", "harbour.csv"], "sha256": "x", "tax_taken_off": 0.19})

    def told(total: float) -> list[str]:
        visits = FLEET.visits.assign(total_cost=total / 1.19, parts_cost=48.90 / 1.19, labour_cost=95 / 1.19)
        return story(dataclasses.replace(FLEET, visits=visits, files=FILES.check(files)), HISTORIES, "H:77")

    assert "  the file states parts of 48.90 + 95.00 = 143.90, and a total of 143.00 (gross): the total was taken" in told(143.00)
    assert "total cost: 120.17 in USD 2019-07 net; the file states 143.00 gross, and 19 % tax was taken off" in told(143.00)
    assert "Doubts: none." in told(143.90)


def test_more_than_the_parts_is_a_doubt_only_where_every_part_is_stated():
    """100 beside 60 + 30: freight may stand in the total alone, unless a freight of 0 is stated; a visit of two rows may hold bills of either kind."""
    def doubtful(rows: int, **more: float) -> bool:
        visits = FLEET.visits.assign(total_cost=100.0, parts_cost=60.0, labour_cost=30.0, **more)
        return bool(contradicted(visits, FLEET.lineage.iloc[:rows]).any())

    assert not doubtful(1)
    assert doubtful(1, other_cost=0.0)
    assert not doubtful(2, other_cost=0.0)
