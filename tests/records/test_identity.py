"""Identities that are not literal: what is read, what is left apart, and how sure that is."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleetstats.records import lost_cells, refusals
from fleetstats.records.build import Records
from fleetstats.records.scoring import BY_DATE, CHAIN, CONFUSION, DIGITS, NOWHERE, ONE_SIGN, THRESHOLD, match
from fleetstats.sources import SourceFile
from fleetstats.sources.vehicle_marks import keyed_plate, masked_vin

Row = dict[str, Any]
Made = Callable[..., Records]
Maker = Callable[..., SourceFile]
KEY = bytes(32)


def swap(number: int, vehicle: str, out: str | None, into: str | None, **more: Any) -> Row:
    """One exchange in the year 2000 + number."""
    return {
        "vehicle_id": vehicle, "shop": "North", "document": str(number), "date_in": f"20{number:02d}-05-01", "date_out": f"20{number:02d}-05-03",
        "removed_serial": out, "fitted_serial": into, "fitted_kind": "unit",
    } | more


def pairs(records: Records) -> list[tuple[str | None, str | None]]:
    """Removed and fitted serials in the order of the visits."""
    said = records.frames["visits"][["removed_serial", "fitted_serial"]]
    return list(said.astype(object).where(said.notna(), None).itertuples(index=False, name=None))


def test_scores_follow_the_weights() -> None:
    """Confusion alone: 0.90 / 0.01 gives odds of 90, 90 / 91 = 0.989; with two more that fit, 90 / (1 + 3 * 90) = 0.332 (by hand)."""
    assert match([CONFUSION]).score == pytest.approx(90 / 91, abs=1e-4)
    assert match([CONFUSION], others=2).score == pytest.approx(90 / 271, abs=1e-4)
    assert match([DIGITS], others=1).score < THRESHOLD < match([ONE_SIGN, CHAIN, NOWHERE]).score


def test_lost_zeros_are_found_by_the_longest(build: Made, file: Maker) -> None:
    """'00123456' was fitted and '123456' removed: one unit, told at the row and scored."""
    made = build(file("a.csv", [swap(10, "C-1", "00777001", "00123456"), swap(12, "C-1", "123456", "00777002")]))
    assert pairs(made) == [("00777001", "00123456"), ("00123456", "00777002")]
    told = made.frames["identities"]
    assert told["written"].tolist() == ["123456"]
    assert told["read_as"].tolist() == ["00123456"]
    assert "leading zeros" in made.frames["lineage"]["reason"].str.cat(sep=";")


@pytest.mark.parametrize("written", ["K100133", "K100213"])
def test_a_misread_or_turned_digit_is_mended_by_the_chain_alone(build: Made, file: Maker, written: str) -> None:
    """K100123 sits in C-1; one other digit, or two turned, is K100123 where nothing else bears that number."""
    made = build(file("a.csv", [swap(10, "C-1", "K100001", "K100123"), swap(12, "C-1", written, "K100500")]))
    assert pairs(made)[1] == ("K100123", "K100500")


def test_a_number_that_is_a_unit_elsewhere_is_no_misreading(build: Made, file: Maker) -> None:
    """K100133 is one digit from K100123, but sat in C-2 as well: the removal in C-1 stays as written and is told."""
    rows = [swap(10, "C-1", "K100001", "K100123"), swap(11, "C-2", "K100002", "K100133"), swap(12, "C-1", "K100133", "K100500"),
            swap(13, "C-2", "K100133", "K100600"), swap(14, "C-3", "K100123", "K100700")]
    made = build(file("a.csv", rows))
    assert pairs(made)[2] == ("K100133", "K100500")
    assert made.frames["rejects"]["what"].str.contains("left apart").any()


def test_the_refrigerator_s_serial_is_set_aside(build: Made, file: Maker) -> None:
    """Three vehicles of which a visit names 'RF12345678' or the like where the unit's serial belongs; the chain then fills the cell."""
    rows = [swap(10, f"C-{n}", f"K10000{n}", f"K10010{n}") for n in range(1, 4)]
    rows += [swap(12, f"C-{n}", f"RF4455{n}-1{n}", f"K10020{n}") for n in range(1, 4)]
    rows += [swap(14, f"C-{n}", f"K10020{n}", f"K10030{n}") for n in range(1, 4)]
    made = build(file("a.csv", rows))
    assert [pair for pair in pairs(made) if pair[0] is None] == []
    assert pairs(made)[3:6] == [("K100101", "K100201"), ("K100102", "K100202"), ("K100103", "K100203")]
    assert made.frames["rejects"]["what"].str.contains("not taken for a unit's serial").sum() == 3


def test_one_text_in_many_cells_is_told_at_each_cell_it_empties(build: Made, file: Maker) -> None:
    """'RF445' stands in eighteen cells of six vehicles as removed and as fitted: 36 cells are emptied and counted, each at its own row; a vehicle that is not
    in the register empties none."""
    register = file("register.csv", [{"vehicle_id": f"C-{n}"} for n in range(1, 7)], "vehicles")
    rows = [swap(year, f"C-{n}", "RF445", "RF445") for n in range(1, 7) for year in (10, 12, 14)]
    faults = build(register, file("a.csv", [*rows, swap(16, "Z-77", "K100001", "K100002")])).frames["rejects"]
    cells = faults[faults["scope"] == "cell"]
    assert lost_cells(refusals(faults)) == len(cells) == len(cells[["row", "field"]].drop_duplicates()) == 36
    assert faults.loc[faults["scope"] != "cell", ["column", "found", "scope"]].to_numpy().tolist() == [["vehicle_id", "Z-77", "remark"]]


def test_a_new_make_of_units_is_no_refrigerator_s_serial(build: Made, file: Maker) -> None:
    """Units of another pattern that are fitted and then removed where they sit stay units."""
    rows = [swap(10, f"C-{n}", f"K10000{n}", f"ZZ99-10{n}") for n in range(1, 6)] + [swap(12, f"C-{n}", f"ZZ99-10{n}", f"K10020{n}") for n in range(1, 6)]
    assert pairs(build(file("a.csv", rows)))[5:] == [(f"ZZ99-10{n}", f"K10020{n}") for n in range(1, 6)]


def test_a_plate_names_the_vehicle_that_had_it_then(build: Made, file: Maker) -> None:
    """One plate at C-1 until 2012 and at C-2 since 2013: a visit of 2010 is C-1's, one of 2015 is C-2's, one of the gap is nobody's and told."""
    plate = keyed_plate("KX04 ABC", KEY)
    register = [{"vehicle_id": "C-1", "plate": plate, "acquired": "2008-01-01", "out_of_service": "2012-01-01"},
                {"vehicle_id": "C-2", "plate": plate, "acquired": "2013-01-01"}]
    rows = [swap(year, str(plate), f"K10000{n}", f"K10010{n}") for n, year in enumerate((10, 12, 15))]
    made = build(file("register.csv", register, "vehicles"), file("a.csv", rows))
    assert made.frames["visits"]["vehicle_id"].fillna("").tolist() == ["C-1", "", "C-2"]
    assert made.frames["identities"]["reasons"].str.contains(BY_DATE).sum() == 2
    assert made.frames["rejects"]["what"].str.contains("left apart").any()


def test_the_end_of_a_vin_names_its_vehicle(build: Made, file: Maker) -> None:
    """The last six or eight signs, or the whole VIN, masked; and a whole one whose check digit mends an S read for a 5."""
    vin = "1M8GDM9AXKP042788"
    register = [{"vehicle_id": "C-1", "vin": masked_vin(vin)}, {"vehicle_id": "C-2", "vin": masked_vin("1M8GDM9A1KP042999")}]
    written = ("042788", "KP042788", str(masked_vin(vin)), str(masked_vin("1M8GDM9AXKP04278B")))
    rows = [swap(10 + n, text, f"K10000{n}", f"K10010{n}") for n, text in enumerate(written)]
    made = build(file("register.csv", register, "vehicles"), file("a.csv", rows))
    assert made.frames["visits"]["vehicle_id"].tolist() == ["C-1"] * 4


def test_a_bench_serial_is_mended_by_the_visit_it_names(build: Made, file: Maker) -> None:
    """North:10 removed K100001; the bench wrote K100O01 for that visit, and K100801, which no other visit knows, for North:12."""
    rows = [swap(10, "C-1", "K100001", "K100701"), swap(12, "C-1", "K100701", "K100900")]
    tests = [{"bench": "B", "bench_test_id": "1", "serial": "K100O01", "visit_id": "North:10", "tested_on": "2010-07-01"},
             {"bench": "B", "bench_test_id": "2", "serial": "K100801", "visit_id": "North:12", "tested_on": "2012-07-01"}]
    made = build(file("a.csv", rows), file("bench.csv", tests, "bench_tests"))
    assert made.frames["bench_tests"]["serial"].tolist() == ["K100001", "K100701"]


def _fleet(seed: int) -> list[Row]:
    """Exchanges of six vehicles with missing, confused and swapped serials."""
    dice = random.Random(seed)
    rows, number = [], 100
    for vehicle in range(1, 7):
        sitting = f"K1{vehicle:05d}"
        for step in range(4):
            number += 1
            into = f"K2{number:05d}"
            out: str | None = dice.choice([sitting, sitting, sitting.replace("0", "O", 1), None])
            pair = (into, out) if dice.random() < 0.1 else (out, into)
            rows.append(swap(8 + step, f"C-{vehicle:03d}", *pair, document=str(number)))
            sitting = into
    return rows


def _content(records: Records) -> pd.DataFrame:
    columns = ["vehicle_id", "document", "removed_serial", "fitted_serial"]
    return records.frames["visits"][columns].sort_values(["vehicle_id", "document"], ignore_index=True)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 10_000))
def test_the_order_of_rows_changes_no_identity(build: Made, file: Maker, seed: int) -> None:
    """The same exchanges in another order of rows have the same serials."""
    rows = _fleet(seed)
    turned = rows[:]
    random.Random(seed).shuffle(turned)
    pd.testing.assert_frame_equal(_content(build(file("a.csv", rows))), _content(build(file("a.csv", turned))))


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 10_000))
def test_other_names_change_nothing_but_the_names(build: Made, file: Maker, seed: int) -> None:
    """Vehicles D-... for C-..., and units M... for K..., throughout: the same records under the new names."""
    rows = _fleet(seed)
    renamed = [row | {"vehicle_id": row["vehicle_id"].replace("C", "D")} | {
        name: row[name].replace("K", "M") if row[name] else None for name in ("removed_serial", "fitted_serial")} for row in rows]
    before, after = _content(build(file("a.csv", rows))), _content(build(file("a.csv", renamed)))
    before["vehicle_id"] = before["vehicle_id"].str.replace("C", "D")
    for name in ("removed_serial", "fitted_serial"):
        before[name] = before[name].str.replace("K", "M")
    pd.testing.assert_frame_equal(before, after)
