"""Tenures worked out by hand. Records of the shop begin 2012-01-01 and end 2025-12-31, the day of the report."""

from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest

from fleetstats.histories import Histories

History = Callable[..., Histories]
Swap = Callable[..., dict[str, Any]]
YEAR = 365.25


def _years(first: str, last: str) -> float:
    return (pd.Timestamp(last) - pd.Timestamp(first)).days / YEAR


def test_one_exchange_makes_two_tenures(history: History, exchange: Swap) -> None:
    """A1 (new, 2010-01-01) is condemned 2015-01-01; N2 serves on. A1 entered when the records began (2012-01-01: 730 days) and ended after 1826."""
    found = history(visits=[exchange(1, "2015-01-01", "A1", "N2")]).tenures
    assert found["tenure_id"].tolist() == ["C-1:2010-01-01", "C-1:2015-01-01"]
    assert found["serial"].tolist() == ["A1", "N2"]
    assert found["origin"].tolist() == ["new", "new"]
    assert found["ending"].tolist() == ["condemned", "in service"]
    first = found.iloc[0]
    assert first[["entered_years", "ended_years", "last_good_years"]].tolist() == pytest.approx([730 / YEAR, 1826 / YEAR, 1826 / YEAR])
    assert first[["ended_by", "symptom", "symptom_group", "shop", "depot", "size_l", "hot"]].tolist() == [
        "v1", "SYM_NOCOOL", "no cooling", "North", "Hill", 150.0, True,
    ]
    assert found.loc[1, ["installed_by", "entered_years", "ended_years"]].tolist() == ["v1", 0.0, pytest.approx(_years("2015-01-01", "2025-12-31"))]


def test_a_unit_found_when_records_began_has_its_own_clock(history: History, exchange: Swap, vehicle: dict[str, Any]) -> None:
    """The register says A1 was reconditioned 2011-01-01, after the vehicle went in service: its age counts from that day.

    In a vehicle put in service with a unit made two years before, the unit is 2 years old (731 days) when fitted.
    """
    rebuilt = vehicle | {"first_unit_made": "2011-01-01", "first_origin": "reconditioned"}
    first = history(vehicles=[rebuilt], visits=[exchange(1, "2015-01-01", "A1", "N2")]).tenures.iloc[0]
    assert (first["origin"], str(first["installed"].date())) == ("reconditioned", "2011-01-01")
    assert first[["entered_years", "ended_years"]].tolist() == pytest.approx([_years("2011-01-01", "2012-01-01"), _years("2011-01-01", "2015-01-01")])
    older = history(vehicles=[vehicle | {"first_unit_made": "2008-01-01"}]).tenures.iloc[0]
    assert older["unit_age_at_installed_years"] == pytest.approx(731 / YEAR)


@pytest.mark.parametrize(
    ("reason", "ending"),
    [("fault of the unit", "condemned"), ("age policy", "planned"), ("recall", "planned"), ("request", "planned"), ("upgrade", "planned"), ("other", "other")],
)
def test_every_reason_has_its_ending(history: History, exchange: Swap, reason: str, ending: str) -> None:
    """Only a fault of the unit condemns, whatever was fitted; the refrigerator's own faults are 'other' (design of the data)."""
    swap = exchange(1, "2015-01-01", "A1", "N2", removal_reason=reason, fitted_kind="whole refrigerator")
    assert history(visits=[swap]).tenures.loc[0, "ending"] == ending


def test_a_silent_exchange_after_a_complaint_condemned_the_unit(history: History, exchange: Swap) -> None:
    """No reason but a complaint: condemned. No reason and no complaint: other. A liner at fault: other."""
    silent = exchange(1, "2015-01-01", "A1", "N2", removal_reason=None)
    endings = [history(visits=[silent | more]).tenures.loc[0, "ending"] for more in ({}, {"symptom": None}, {"called_mode": "FND_FR_LINER"})]
    assert endings == ["condemned", "other", "other"]


def test_a_vehicle_that_left_ends_its_unit_s_tenure(history: History, vehicle: dict[str, Any]) -> None:
    """Out of service 2020-06-30 without sightings: ended that day, at that age."""
    found = history(vehicles=[vehicle | {"out_of_service": "2020-06-30"}]).tenures.iloc[0]
    assert (found["ending"], str(found["ended"].date())) == ("left fleet", "2020-06-30")
    assert found["ended_years"] == pytest.approx(_years("2010-01-01", "2020-06-30"))


def test_a_vehicle_with_sightings_is_censored_at_the_last_one(history: History, vehicle: dict[str, Any]) -> None:
    """Last seen working 2019-09-15, sold 2020-06-30: the life counts to the sighting, `ended` stays the real day. A sighting 'not working' does not count."""
    seen = [{"vehicle_id": "C-1", "date": day, "working": works} for day, works in (("2018-05-01", True), ("2019-09-15", True), ("2020-01-10", False))]
    found = history(vehicles=[vehicle | {"out_of_service": "2020-06-30"}], sightings=seen).tenures.iloc[0]
    assert str(found["ended"].date()) == "2020-06-30"
    assert found["ended_years"] == pytest.approx(_years("2010-01-01", "2019-09-15"))


def test_records_that_end_early_censor_there(history: History) -> None:
    """Two shops serve Hill; their records begin 2012 and 2014 and end 2025 and 2023-06-30: watched from 2014-01-01 to 2023-06-30."""
    shops = [
        {"shop": "North", "serves": "Hill", "covers_from": "2012-01-01", "covers_to": "2025-12-31"},
        {"shop": "South", "serves": "Port;Hill", "covers_from": "2014-01-01", "covers_to": "2023-06-30"},
    ]
    found = history(shops=shops)
    ages = [_years("2010-01-01", "2014-01-01"), _years("2010-01-01", "2023-06-30")]
    assert found.tenures.loc[0, ["entered_years", "ended_years"]].tolist() == pytest.approx(ages)
    assert found.exposure[["vehicle_id", "depot", "years"]].to_numpy().tolist() == [["C-1", "Hill", pytest.approx(_years("2014-01-01", "2023-06-30"))]]


@pytest.mark.parametrize(
    ("origin", "population", "age"),
    [
        ("new", "new", 0.0), ("reconditioned", "reconditioned", 0.0), ("own unit reconditioned", "reconditioned", 0.0), ("unknown", "unknown", None),
        ("own unit put back", "new", 5.0), ("used, tested healthy", "unknown", None), (None, "unknown", None),
    ],
)
def test_population_and_age_of_what_was_fitted(history: History, exchange: Swap, origin: str | None, population: str, age: float | None) -> None:
    """The clock starts at 0 for new and reconditioned units; the own unit put back goes on at its age (1826 days, 5.0 years); else it is unknown.

    Of unknown age: entered and ended coincide, so that no life is made of it.
    """
    into = "A1" if origin and origin.startswith("own") else "U9"
    second = history(visits=[exchange(1, "2015-01-01", "A1", into, origin)]).tenures.iloc[1]
    assert second["origin"] == population
    if age is None:
        assert second["entered_years"] == second["ended_years"]
    else:
        assert second["unit_age_at_installed_years"] == pytest.approx(age, abs=0.001)
        assert second["ended_years"] - second["entered_years"] == pytest.approx(_years("2015-01-01", "2025-12-31"))


def test_a_whole_refrigerator_brings_a_new_unit(history: History, exchange: Swap) -> None:
    """Nothing said of its origin: new. Said to be reconditioned: reconditioned."""
    swap = exchange(1, "2015-01-01", "A1", None, None, fitted_kind="whole refrigerator")
    assert history(visits=[swap]).tenures.loc[1, "origin"] == "new"
    assert history(visits=[swap | {"fitted_origin": "reconditioned"}]).tenures.loc[1, "origin"] == "reconditioned"


def test_a_unit_moved_to_another_vehicle_takes_its_age_along(history: History, exchange: Swap, vehicle: dict[str, Any]) -> None:
    """A1 served C-1 for 1826 days, lay on the shelf a year and went into C-2 as used: it enters there at 1826 days, not more."""
    other = vehicle | {"vehicle_id": "C-2", "first_cooling_unit_serial": "B1"}
    swaps = [exchange(1, "2015-01-01", "A1", "N2"), exchange(2, "2016-01-01", "B1", "A1", "used, tested healthy", vehicle_id="C-2")]
    found = history(vehicles=[vehicle, other], visits=swaps).tenures.set_index("tenure_id").loc["C-2:2016-01-01"]
    assert (found["origin"], found["serial"], found["faults"] is pd.NA) == ("new", "A1", True)
    assert found[["unit_age_at_installed_years", "entered_years"]].tolist() == pytest.approx([1826 / YEAR, 1826 / YEAR])


def test_the_first_complaint_of_the_same_fault_dates_the_failure(history: History, exchange: Swap) -> None:
    """No cooling 2014-11-01, released; condemned for no cooling 2015-01-01 (61 days later): failed on the first day.

    A complaint of another group, or one more than 90 days before, does not count.
    """
    first = {"visit_id": "v0", "vehicle_id": "C-1", "shop": "North", "complaint_on": "2014-11-01", "date_in": "2014-11-02", "date_out": "2014-11-03"}
    swap = exchange(1, "2015-01-01", "A1", "N2")

    def ended(**more: Any) -> float:
        return float(history(visits=[first | {"symptom": "SYM_NOCOOL_AC"} | more, swap]).tenures.loc[0, "ended_years"])

    assert ended() == pytest.approx(_years("2010-01-01", "2014-11-01"))
    assert ended(symptom="SYM_WEAK") == pytest.approx(_years("2010-01-01", "2015-01-01"))
    assert ended(complaint_on="2014-09-01", date_in="2014-09-01", date_out="2014-09-02") == pytest.approx(_years("2010-01-01", "2015-01-01"))


def test_a_fault_found_at_an_inspection_lies_after_the_last_good_day(history: History, exchange: Swap) -> None:
    """Seen working 2014-10-01, found dead at the inspection of 2015-03-01: last good at the sighting. Found in use: at the failure."""
    seen = [{"vehicle_id": "C-1", "date": "2014-10-01", "working": True}]
    swap = exchange(1, "2015-03-01", "A1", "N2", detection="periodic")
    found = history(visits=[swap], sightings=seen).tenures.iloc[0]
    assert (found["detection"], found["last_good_years"]) == ("inspection", pytest.approx(_years("2010-01-01", "2014-10-01")))
    in_use = history(visits=[swap | {"detection": "in use"}], sightings=seen).tenures.iloc[0]
    assert (in_use["detection"], in_use["last_good_years"]) == ("in use", in_use["ended_years"])
    early = history(visits=[swap], sightings=[seen[0] | {"date": "2011-05-01"}]).tenures.iloc[0]
    assert early["last_good_years"] == early["entered_years"] == pytest.approx(730 / YEAR)


def test_only_what_was_reported_by_the_day_of_the_report_is_known(history: History, exchange: Swap) -> None:
    """Exchanged 2025-12-20 but reported 2026-01-08: on 2025-12-31 the unit is still in service."""
    assert history(visits=[exchange(1, "2025-12-20", "A1", "N2", reported_on="2026-01-08")]).tenures["ending"].tolist() == ["in service"]


def test_a_sighting_after_the_day_of_the_report_is_not_known(history: History) -> None:
    """The only sighting is of 2026-02-01: on 2025-12-31 the vehicle counts as one without sightings, working to the end of the records."""
    found = history(sightings=[{"vehicle_id": "C-1", "date": "2026-02-01", "working": True}]).tenures.iloc[0]
    assert found["ended_years"] == pytest.approx(_years("2010-01-01", "2025-12-31"))


def test_faults_of_a_history_have_names(history: History, exchange: Swap, vehicle: dict[str, Any]) -> None:
    """jump: N2 went in and X9 came out. teleport: N2 sits in C-1 from 2015 and is fitted to C-2 in 2016. overlap: out before it was in.

    gap: a unit was taken out in 2015 and nothing is said to have gone in.
    """
    other = vehicle | {"vehicle_id": "C-2", "first_cooling_unit_serial": "B1"}
    swaps = [exchange(1, "2015-01-01", "A1", "N2"), exchange(2, "2018-01-01", "X9", "N3"), exchange(3, "2016-01-01", "B1", "N2", vehicle_id="C-2")]
    found = history(vehicles=[vehicle, other], visits=swaps).tenures.set_index("tenure_id")["faults"]
    assert found.dropna().to_dict() == {"C-1:2015-01-01": "jump;teleport", "C-2:2016-01-01": "teleport"}
    crossed = [exchange(1, "2015-01-01", "A1", "N2", date_out="2015-03-01"), exchange(2, "2015-02-01", "N2", "N3")]
    assert history(visits=crossed).tenures["faults"].tolist()[1] == "overlap"
    emptied = exchange(1, "2015-01-01", "A1", None, None, fitted_kind=None)
    assert history(visits=[emptied]).tenures["faults"].tolist()[1] == "gap"


def test_a_third_vehicle_with_the_same_serial_is_seen_too(history: History, exchange: Swap, vehicle: dict[str, Any]) -> None:
    """N2 sits in C-1 from 2013 on. C-2 has it twice meanwhile: both stays are teleports, also the second, whose neighbour in time is in the same vehicle."""
    other = vehicle | {"vehicle_id": "C-2", "first_cooling_unit_serial": "B1"}
    swaps = [exchange(1, "2013-01-01", "A1", "N2"), exchange(2, "2014-01-01", "B1", "N2", vehicle_id="C-2"),
             exchange(3, "2015-01-01", "N2", "B2", vehicle_id="C-2"),
             exchange(4, "2016-01-01", "B2", "N2", vehicle_id="C-2"), exchange(5, "2017-01-01", "N2", "B3", vehicle_id="C-2")]
    found = history(vehicles=[vehicle, other], visits=swaps).tenures.set_index("tenure_id")["faults"].dropna()
    assert found.to_dict() == {"C-1:2013-01-01": "teleport", "C-2:2014-01-01": "teleport", "C-2:2016-01-01": "teleport"}


def test_a_vehicle_outside_the_register_counts_in_the_audit_and_gives_no_life(history: History, exchange: Swap) -> None:
    """Only visits know X-9: its first unit of unknown age is condemned, with entered equal to ended; a note says so."""
    found = history(visits=[exchange(1, "2015-01-01", "A7", "N2", vehicle_id="X-9")])
    first = found.tenures[found.tenures["vehicle_id"] == "X-9"].iloc[0]
    assert (first["ending"], first["origin"], first["entered_years"] == first["ended_years"]) == ("condemned", "unknown", True)
    assert any("not in the register" in note for note in found.notes)


def test_a_vehicle_that_changed_its_depot_shares_its_years(history: History) -> None:
    """Hill until 2015-12-31, Port from 2016-01-01: 4 years (1461 days) at Hill since 2012, the rest to 2025-12-31 (3652 days) at Port."""
    posts = [{"vehicle_id": "C-1", "depot": "Hill", "from": "2010-01-01", "to": "2015-12-31"}, {"vehicle_id": "C-1", "depot": "Port", "from": "2016-01-01"}]
    found = history(assignments=posts).exposure
    assert found[["depot", "years"]].to_numpy().tolist() == [["Hill", pytest.approx(1461 / YEAR)], ["Port", pytest.approx(3652 / YEAR)]]
