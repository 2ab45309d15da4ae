"""A unit is condemned: what is fitted instead, whether the core meets a bench, and what becomes of it."""

from __future__ import annotations

import math

from fleetstats.synthetic.scenario import Shop
from fleetstats.synthetic.seasons import YEAR, day
from fleetstats.synthetic.things import BenchTest, Rebuild, Unit, Visit, price_level
from fleetstats.synthetic.world import World

HEALTHY = ("no fault found", "restarted")


def condemn(world: World, visit: Visit) -> None:
    """The shop removes the unit because it is said to be at fault."""
    visit.kind, visit.reason = "swapped", "fault of the unit"
    visit.removed = visit.vehicle.unit
    visit.date_out = visit.date_in + world.stay(world.scenario.visits.stay_swap_days)
    failed = visit.cause == "failed"
    if visit.shop.own and not failed and world.stream.chance(world.scenario.fitting.put_back) and _put_back(world, visit):
        return
    if visit.shop.reconditions and failed and visit.detection == "inspection" and world.stream.chance(world.scenario.fitting.own_reconditioned):
        _recondition_own(world, visit)
        return
    fit(world, visit)
    if world.stream.chance(bench_chance(world, visit)):
        test = bench_test(world, visit, visit.date_out + world.stream.whole(*world.scenario.bench.lag_days))
        _core_after_bench(world, visit, test)
    elif visit.shop.reconditions and failed and world.stream.chance(world.scenario.fitting.recondition_core):
        _rebuild(world, visit, visit.date_out)


def exchange(world: World, visit: Visit, reason: str, *, whole: bool = False) -> None:
    """A new unit (or refrigerator) is fitted for a reason that is no verdict on the unit."""
    visit.kind, visit.reason, visit.removed, visit.whole = "swapped", reason, visit.vehicle.unit, whole
    visit.date_out = visit.date_in + world.stay(world.scenario.visits.stay_swap_days)
    _put_in(world, visit, world.foundry.new(visit.vehicle.size, visit.vehicle.depot, visit.date_out), "new")


def fit(world: World, visit: Visit) -> None:
    """Choose the unit to fit: a whole refrigerator, the shelf, or a unit bought new or reconditioned."""
    vehicle, stream = visit.vehicle, world.stream
    if stream.chance(world.scenario.fitting.whole_refrigerator):
        visit.whole = True
        _put_in(world, visit, world.foundry.new(vehicle.size, vehicle.depot, visit.date_out), "new")
        return
    unit, origin = _from_shelf(world, visit)
    if unit is None:
        origin = stream.weighted(visit.shop.origins)
        make = world.foundry.new if origin == "new" else world.foundry.reconditioned
        unit = make(vehicle.size, vehicle.depot, visit.date_out)
    _put_in(world, visit, unit, "unknown" if stream.chance(world.scenario.fitting.unknown_origin) else origin)


def _from_shelf(world: World, visit: Visit) -> tuple[Unit | None, str]:
    key = (visit.vehicle.depot.country, visit.vehicle.size.letter)
    healthy, rebuilt = world.shelf.healthy[key], world.shelf.rebuilt[key]
    if healthy and healthy[0][0] <= visit.date_in:
        unit = healthy.pop(0)[1]
        if unit.fails <= visit.date_out:
            unit.fails = visit.date_out + world.stream.between(1, 20)
        return unit, "used, tested healthy"
    if rebuilt and rebuilt[0][0] <= visit.date_in:
        serial = rebuilt.pop(0)[1]
        return world.foundry.reconditioned(visit.vehicle.size, visit.vehicle.depot, visit.date_out, serial), "reconditioned"
    return None, ""


def _put_in(world: World, visit: Visit, unit: Unit, origin: str) -> None:
    if visit.opened >= day(visit.vehicle.depot.records_from):
        world.survey(visit.vehicle)
    visit.fitted, visit.fitted_origin, visit.vehicle.free_from = unit, origin, visit.date_out
    world.install(visit.vehicle, unit, visit.date_out)


def _put_back(world: World, visit: Visit) -> bool:
    test = bench_test(world, visit, visit.date_out - 1)
    if test.outcome not in HEALTHY:
        world.bench_tests.remove(test)
        return False
    _put_in(world, visit, visit.vehicle.unit, "own unit put back")
    return True


def _recondition_own(world: World, visit: Visit) -> None:
    unit = visit.vehicle.unit
    visit.date_out += 14
    world.rebuilds.append(_rebuild_record(world, unit.serial, visit.date_in + 3, visit.date_out - 2))
    again = world.foundry.reconditioned(visit.vehicle.size, visit.vehicle.depot, visit.date_out, unit.serial)
    _put_in(world, visit, again, "own unit reconditioned")


def bench_chance(world: World, visit: Visit) -> float:
    """Probability that the core is tested: by habit of the shop, complaint and origin as recorded, never by the truth."""
    shares, plan = world.scenario.bench_shares, world.scenario.bench
    doubtful = visit.group in ("weak", "other")
    share = _habit(visit.shop, shares.model_dump(), doubtful)
    if share <= 0.0 or visit.removed is None:
        return 0.0
    logit = math.log(share / (1.0 - share)) + plan.leak_logit * (visit.group == "leak") + plan.weak_logit * (visit.group == "weak")
    logit += plan.reconditioned_logit * (visit.removed.origin == "reconditioned")
    return 1.0 / (1.0 + math.exp(-logit))


def _habit(shop: Shop, shares: dict[str, float], doubtful: bool) -> float:
    return shares["rest"] if shop.bench == "doubtful" and not doubtful else shares[shop.bench]


def bench_test(world: World, visit: Visit, tested: int) -> BenchTest:
    """The verdict of the bench on the unit removed at the visit."""
    stream = world.stream
    assert visit.removed is not None
    assert visit.shop.bench_name is not None
    outcome = bench_outcome(world, visit.cause)
    doubtful = visit.shop.bench == "doubtful"
    test = BenchTest(
        visit.shop.bench_name, visit.removed.serial, visit.removed.size, visit.shop.name, visit, tested - stream.whole(1, 3), tested,
        tested + stream.whole(0, 20), outcome, stream.pick(("blocked", "leak at boiler", "gas lost", "weak charge")) if outcome == "fault confirmed" else "",
        float(stream.whole(12, 48)), visit.symptom, "doubt" if doubtful else "all",
    )
    world.bench_tests.append(test)
    return test


def bench_outcome(world: World, cause: str) -> str:
    """What the bench says of a core whose true state is known."""
    mark, plan = world.stream.u(), world.scenario.bench
    if world.stream.chance(plan.inconclusive):
        return "inconclusive"
    if cause == "failed":
        return "fault confirmed" if mark < plan.sensitivity else "no fault found"
    if cause == "stall" and mark < plan.restarted:
        return "restarted"
    return "no fault found" if mark < plan.specificity else "fault confirmed"


def _core_after_bench(world: World, visit: Visit, test: BenchTest) -> None:
    assert visit.removed is not None
    key = (visit.vehicle.depot.country, visit.vehicle.size.letter)
    if test.outcome in HEALTHY and world.stream.chance(world.scenario.fitting.shelf):
        world.shelf.healthy[key].append((test.tested + 1, visit.removed))
        world.shelf.healthy[key].sort(key=lambda entry: entry[0])
    elif visit.shop.reconditions and world.stream.chance(world.scenario.fitting.recondition_core):
        _rebuild(world, visit, test.tested)


def _rebuild(world: World, visit: Visit, start: int) -> None:
    assert visit.removed is not None
    started = start + world.stream.whole(5, 60)
    record = _rebuild_record(world, visit.removed.serial, started, started + world.stream.whole(2, 9))
    world.rebuilds.append(record)
    if record.passed:
        key = (visit.vehicle.depot.country, visit.vehicle.size.letter)
        world.shelf.rebuilt[key].append((record.finished + 1, record.serial))
        world.shelf.rebuilt[key].sort(key=lambda entry: entry[0])


def _rebuild_record(world: World, serial: str, started: int, finished: int) -> Rebuild:
    passed, hours = world.stream.chance(world.scenario.fitting.rebuild_passes), round(world.stream.between(3.0, 6.5), 1)
    return Rebuild(serial, started, finished, passed, hours, round(price_level(60 + hours * 45, finished), 2))


def age_of(unit: Unit, number: float) -> float:
    """Years since the unit was new or last reconditioned."""
    return (number - unit.made) / YEAR
