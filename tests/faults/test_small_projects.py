"""Small projects that once lost, doubled or mistold something: read from files, imported, and told as histories."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from fleetstats.errors import InputRefused
from fleetstats.histories import Histories, build_histories
from fleetstats.records import Fleet, explain, import_files, load_fleet
from fleetstats.settings import Project

REGISTER = """vehicle_id,built,in_service,depot,first_cooling_unit_serial,first_origin
C-1,2010-01-01,2010-01-01,Hill,A100,new
C-2,2010-01-01,2010-01-01,Hill,A200,new
"""
SHOPS = "shop,serves,covers_from,covers_to\nNorth,Hill,2012-01-01,2025-12-31\n"
VISITS = "vehicle_id,shop,document,date_in,date_out,status,symptom,removal_reason,removed_serial,fitted_serial,fitted_kind,fitted_origin,reported_on\n"
TESTS = "bench,bench_test_id,serial,received_from,visit_id,tested_on,as_received,outcome\n"
PROFILE = """files = ["{name}*.csv"]
table = "visits"
[columns]
veh = "vehicle_id"
doc = "document"
in = "date_in"
out = "date_out"
tot = "total_cost"
[constants]
shop = "North"
[money]
currency = "USD"
tax = "net"
"""
ORDERS = "veh,doc,in,out,tot\nC-1,1,2015-05-01,2015-05-02,100\nC-1,2,2016-05-01,2016-05-02,100\n"
Read = Callable[..., tuple[Fleet, Histories]]


def swap(vehicle: str, document: str, day: str, out: str, into: str, *, release: str | None = None, origin: str = "new", reported: str = "") -> str:
    """A line of VISITS: a unit exchanged for its own fault, within the day unless told otherwise."""
    release = day if release is None else release
    status = "closed" if release else ""
    return f'{vehicle},North,{document},{day},{release},{status},SYM_NOCOOL,fault of the unit,{out},{into},unit,"{origin}",{reported}\n'


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Records and histories of a project with these raw files (and profiles), as of 2025-12-31; the register of two vehicles unless given."""

    def make(profiles: dict[str, str] | None = None, **files: str) -> tuple[Fleet, Histories]:
        for folder, content in (("raw", {"register": REGISTER} | files), ("profiles", profiles or {})):
            (tmp_path / folder).mkdir(exist_ok=True)
            for name, text in content.items():
                (tmp_path / folder / (f"{name}.csv" if folder == "raw" else f"{name}.toml")).write_text(text, encoding="utf-8")
        (tmp_path / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
        project = Project(tmp_path)
        import_files(project)
        fleet = load_fleet(project)
        return fleet, build_histories(fleet)

    return make


@pytest.mark.parametrize(("second", "release"), [("2015-05-01", None), ("2015-05-06", "")])
@pytest.mark.parametrize("numbers", [("1", "2"), ("9", "10")])
def test_two_exchanges_close_together_are_two(read: Read, second: str, release: str | None, numbers: tuple[str, str]) -> None:
    """A100 out and B100 in, then B100 out and D100 in, on one day or five days later without a release day: three tenures in that order.

    Merged into one event, the second exchange and unit D100 were lost; order 10 after order 9 was taken for the earlier one.
    """
    lines = swap("C-1", numbers[0], "2015-05-01", "A100", "B100", release=release) + swap("C-1", numbers[1], second, "B100", "D100", release=release)
    _, histories = read(shops=SHOPS, visits=VISITS + lines)
    mine = histories.tenures[histories.tenures["vehicle_id"] == "C-1"]
    assert mine["serial"].tolist() == ["A100", "B100", "D100"]
    assert mine["ending"].tolist() == ["condemned", "condemned", "in service"]
    assert mine["faults"].isna().all()


def test_one_exchange_told_twice_with_its_columns_swapped_stays_one(read: Read) -> None:
    """A100 out and B100 in, and the same order again with the serials in each other's column: two units only, one event."""
    lines = swap("C-1", "1", "2015-05-01", "A100", "B100") + swap("C-1", "2", "2015-05-01", "B100", "A100")
    fleet, _ = read(shops=SHOPS, visits=VISITS + lines)
    assert fleet.visits[["removed_serial", "fitted_serial"]].to_numpy().tolist() == [["A100", "B100"]]


def test_a_day_after_the_report_has_not_happened(read: Read) -> None:
    """In 2055 by a slip of the pen, reported in 2015: no tenure of 45 years; A100 is in service at 16, and a note counts the visit."""
    _, histories = read(shops=SHOPS, visits=VISITS + swap("C-1", "1", "2055-05-01", "A100", "B100", reported="2015-05-02"))
    first = histories.tenures.iloc[0]
    assert (first["ending"], first["ended_years"]) == ("in service", pytest.approx(16.0, abs=0.01))
    assert any(note.startswith("1 visit names no day, or lies") for note in histories.notes)


def test_a_serial_in_two_vehicles_is_not_older_than_its_days(read: Read) -> None:
    """B100 went new into C-1 in May 2015 and, if C-2 is to be believed, three years later into C-2: 3 years old there, not 10; named teleport."""
    lines = swap("C-1", "1", "2015-05-01", "A100", "B100") + swap("C-2", "2", "2018-05-01", "A200", "B100", origin="used, tested healthy")
    second = read(shops=SHOPS, visits=VISITS + lines)[1].tenures.iloc[-1]
    assert (second["serial"], second["faults"]) == ("B100", "teleport")
    assert second["unit_age_at_installed_years"] == pytest.approx(3.0, abs=0.01)


def test_copied_files_double_nothing_not_even_rows_without_an_identity(read: Read) -> None:
    """Every file twice, among them a visit without a vehicle and bench tests without serial or number: each stands once, lineage names both rows."""
    visits = VISITS + ",North,,2015-05-06,2015-05-07,closed,SYM_WEAK,,,,,,\n" + swap("C-1", "1", "2015-05-01", "A100", "B100")
    tests = TESTS + "Bench,,,North,,2015-06-01,yes,no fault found\nBench,,,North,,2015-06-01,yes,no fault found\n"
    fleet, _ = read(shops=SHOPS, visits=visits, visits_copy=visits, tests=tests, tests_copy=tests)
    assert (len(fleet.visits), len(fleet.bench_tests)) == (2, 2)
    assert fleet.files.set_index("file").loc[["visits_copy.csv", "tests_copy.csv"], "merged"].tolist() == [2, 2]
    assert fleet.lineage.groupby("record_id")["file"].nunique()["visits.csv:2"] == 2


def test_two_verdicts_of_one_day_stay_two(read: Read) -> None:
    """A100 confirmed at fault after it was opened, and found healthy as received, on one day: the verdict on the removal is 'no fault found'."""
    tests = TESTS + "Bench,,A100,North,,2015-06-01,no,fault confirmed\nBench,,A100,North,,2015-06-01,yes,no fault found\n"
    fleet, histories = read(shops=SHOPS, visits=VISITS + swap("C-1", "1", "2015-05-01", "A100", "B100"), tests=tests)
    assert len(fleet.bench_tests) == 2
    assert histories.tenures.loc[0, "bench_outcome"] == "no fault found"


def test_a_bench_test_without_a_day_is_counted(read: Read) -> None:
    """Nobody knows whether it was known at the day of the report: not used, and said."""
    _, histories = read(shops=SHOPS, visits=VISITS + swap("C-1", "1", "2015-05-01", "A100", "B100"), tests=TESTS + "Bench,7,A100,North,,,yes,no fault found\n")
    assert "1 bench test names no day and was not used." in histories.notes


def test_numbers_parted_by_dashes_are_two_vehicles_and_contradictions_are_told(read: Read) -> None:
    """T1-01 and T10-1 stay two. 't5' of a second register is T-5; its other day in service is told with place, and the first one stands."""
    register = "vehicle_id,in_service,depot\nT1-01,2010-01-01,Hill\nT10-1,2011-01-01,Hill\nT-5,2012-01-01,Hill\n"
    fleet, _ = read(register=register, second="vehicle_id,in_service,depot\nt5,2013-01-01,Hill\n")
    assert sorted(fleet.vehicles["vehicle_id"]) == ["T-5", "T1-01", "T10-1"]
    assert fleet.vehicles.set_index("vehicle_id").loc["T-5", "in_service"] == pd.Timestamp("2012-01-01")
    assert fleet.rejects[["file", "row", "column", "found", "wanted"]].to_numpy().tolist() == [["second.csv", 2, "in_service", "2013-01-01", "2012-01-01"]]


def test_a_source_may_correct_its_own_earlier_rows(read: Read) -> None:
    """Order 1 stands with 100 and again with 120: the later line replaces the earlier one. Both replaced each other, and the order was gone."""
    profile = PROFILE.format(name="a") + '[corrections]\nof = ["a"]\n'
    fleet, _ = read({"a": profile}, a=ORDERS + "C-1,1,2015-05-01,2015-05-02,120\n")
    assert fleet.visits.set_index("document")["total_cost"].to_dict() == {"1": 120.0, "2": 100.0}
    assert fleet.lineage.query("fate == 'superseded'")[["row", "record_id"]].to_numpy().tolist() == [[2, "North:1"]]


def test_sources_that_correct_each_other_are_refused(read: Read, tmp_path: Path) -> None:
    """a corrects b and b corrects a: every row would be replaced and none be left. Refused; no store is written."""
    profiles = {one: PROFILE.format(name=one) + f'[corrections]\nof = ["{other}"]\n' for one, other in (("a", "b"), ("b", "a"))}
    with pytest.raises(InputRefused, match="correct each other; found 'a -> b'"):
        read(profiles, a=ORDERS, b=ORDERS)
    assert not (tmp_path / "store.duckdb").exists()


def test_without_a_table_of_shops_the_profile_says_what_is_covered(read: Read) -> None:
    """Records from 2012 to June 2022: watched from age 2.0 to 12.5 (hand: 2010-01-01 to 2022-06-30), not to the day of the report at 16."""
    _, histories = read({"a": PROFILE.format(name="a") + "[coverage]\nfrom = 2012-01-01\nto = 2022-06-30\n"}, a=ORDERS)
    assert histories.tenures.loc[0, ["entered_years", "ended_years"]].tolist() == pytest.approx([2.0, 12.49], abs=0.01)
    assert not any("watched since" in note for note in histories.notes)


def test_where_nobody_says_what_is_covered_a_note_does(read: Read) -> None:
    """No shops, no profile: two vehicles count as watched since the first visit (2015-05-01), and the report is told."""
    _, histories = read(visits=VISITS + swap("C-1", "1", "2015-05-01", "A100", "B100"))
    assert any(note.startswith("2 vehicles stand where no shop says") for note in histories.notes)


def test_checks_of_a_visit_that_no_file_holds_are_told(read: Read) -> None:
    """Check C01 of visit 'nowhere' is kept and told with its place; C05 of order 1 belongs to North:1 and leads back to its row."""
    checks = "visit_id,check,outcome\n1,C05,done\nnowhere,C01,pass\n"
    fleet, _ = read(shops=SHOPS, visits=VISITS + swap("C-1", "1", "2015-05-01", "A100", "B100"), checks=checks)
    assert fleet.rejects[["file", "row", "found"]].to_numpy().tolist() == [["checks.csv", 3, "nowhere"]]
    assert explain(fleet, "North:1").rows[["table", "file", "row"]].to_numpy().tolist() == [["checks", "checks.csv", 2], ["visits", "visits.csv", 2]]


def test_a_unit_leads_back_to_its_rebuild_and_a_vehicle_to_its_depots(read: Read) -> None:
    """The rows of `reconditionings` (no key) and of `assignments` (a key of two columns) are among the rows behind a unit and a vehicle."""
    rebuilds = "serial,started,finished,process\na-100,2015-06-02,2015-06-05,recharged\n"
    fleet, _ = read(
        shops=SHOPS, visits=VISITS + swap("C-1", "1", "2015-05-01", "A100", "B100"), rebuilds=rebuilds, posts="vehicle_id,depot,from\nC-1,Hill,2010-01-01\n",
    )
    assert "reconditionings" in explain(fleet, "A100").rows["table"].tolist()
    posts = explain(fleet, "C-1").rows.query("table == 'assignments'")
    assert posts[["record_id", "file", "row"]].to_numpy().tolist() == [["C-1 / 2010-01-01", "posts.csv", 2]]


def test_one_serial_in_both_columns_is_told(read: Read) -> None:
    """'Removed A100, fitted A100' while A100 sits in C-1 and new was fitted: A100 came out, what went in is unknown, and the lineage says so."""
    fleet, _ = read(shops=SHOPS, visits=VISITS + swap("C-1", "1", "2015-05-01", "A100", "A100"))
    assert fleet.visits[["removed_serial", "fitted_serial"]].isna().to_numpy().tolist() == [[False, True]]
    assert "one serial stood in both columns, taken for the removed one" in fleet.lineage.query("table == 'visits'")["reason"].item()
