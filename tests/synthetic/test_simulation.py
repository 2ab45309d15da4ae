"""The simulated fleet keeps its own rules."""

from collections import defaultdict
from itertools import pairwise

import numpy as np
import pytest

from fleetstats.synthetic.seasons import YEAR, in_season, season_starting
from fleetstats.synthetic.swaps import bench_chance


@pytest.fixture(scope="module")
def by_vehicle(world):
    visits = defaultdict(list)
    for visit in world.visits:
        visits[visit.vehicle.vehicle_id].append(visit)
    return visits


def test_a_vehicle_is_in_one_shop_at_a_time(by_vehicle):
    """Every visit is opened after the release from the one before, so that no two clean lines are one event."""
    for visits in by_vehicle.values():
        for before, after in pairwise(visits):
            assert after.opened > before.date_out


def test_the_chain_of_units_holds(by_vehicle):
    """The unit a visit removes is the one the last visit fitted: serials never jump."""
    for visits in by_vehicle.values():
        swaps = [visit for visit in visits if visit.removed is not None]
        for before, after in pairwise(swaps):
            assert after.removed.serial == before.fitted.serial


def test_a_serial_is_in_one_vehicle_at_a_time(world):
    """A unit fitted again elsewhere was removed before: the stays of one serial never overlap."""
    stays = defaultdict(list)
    for visit in world.visits:
        if visit.removed is not None:
            stays[visit.removed.serial].append((visit.date_out, "out"))
            stays[visit.fitted.serial].append((visit.date_out, "in"))
    moved = 0
    for serial, events in stays.items():
        ins = [day for day, kind in events if kind == "in"]
        outs = [day for day, kind in events if kind == "out"]
        for later in ins:
            assert len([day for day in ins if day <= later]) <= len([day for day in outs if day <= later]) + 1, serial
        moved += bool(ins) and bool(outs) and min(outs) < max(ins)
    assert moved > 3


def test_needless_is_what_did_not_need_replacing(world):
    """A unit called needless had not failed when the visit was opened; a failed one had (unless the bench erred and it went out again)."""
    refitted = {visit.fitted.serial for visit in world.visits if visit.fitted_origin == "used, tested healthy"}
    for visit in world.visits:
        if visit.needless:
            assert visit.removed.fails >= visit.opened
        elif visit.condemned and visit.removed.serial not in refitted:
            assert visit.removed.fails < visit.opened + 1


def test_failures_outside_the_season_are_found_at_the_inspection(world):
    """'inspection' failures began outside the season; 'in use' failures never wait for an inspection."""
    found = [visit for visit in world.visits if visit.condemned and visit.cause == "failed" and visit.detection == "inspection"]
    assert len(found) > 10
    for visit in found:
        assert not in_season(visit.vehicle.depot, visit.opened)
        assert visit.opened - visit.removed.fails < YEAR


def test_sightings_are_true(world):
    """A vehicle seen working has a unit that works: no removal of a failed unit covers the day of a sighting."""
    down = defaultdict(list)
    for visit in world.visits:
        if visit.condemned and visit.cause == "failed" and visit.fitted_origin not in ("own unit put back",):
            down[visit.vehicle.vehicle_id].append((visit.removed.fails, visit.date_out))
    for vehicle, number, _ in world.sightings:
        assert not any(start <= number < end for start, end in down[vehicle])


def test_testing_depends_on_records_only(world):
    """Among cores alike in shop, complaint and origin the chance of a test is one number, whatever the truth."""
    chances = defaultdict(set)
    for visit in world.visits:
        if visit.condemned:
            chances[visit.shop.name, visit.group, visit.removed.origin].add(round(bench_chance(world, visit), 12))
    assert all(len(values) == 1 for values in chances.values())
    assert {shop for (shop, _, _), values in chances.items() if values == {0.0}} == {"Roadside van", "Canal vehicle workshop", "Atelier Portage"}


def test_bench_is_as_good_as_the_scenario_says(world):
    """Share of right verdicts on failed units within 4 standard errors of the sensitivity .97 (binomial)."""
    verdicts = [test.outcome == "fault confirmed" for test in world.bench_tests
                if test.visit and test.visit.cause == "failed" and test.outcome != "inconclusive"]
    assert abs(np.mean(verdicts) - 0.97) < 4 * np.sqrt(0.97 * 0.03 / len(verdicts))


def test_a_southern_season_spans_the_year_end(scenario):
    """Redfield: the season of 2019 runs from 1 November 2019 to 30 April 2020, 182 days in a leap year."""
    depot = next(depot for depot in scenario.depots if depot.name == "Redfield")
    first, last = season_starting(depot, 2019)
    assert last - first + 1 == 182
    assert in_season(depot, last)
    assert not in_season(depot, last + 1)
