"""Lines of the register, the benches, the rebuilds, the hires and the list of shops."""

from __future__ import annotations

from fleetstats.synthetic.diseases import confused, plain_serial
from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.rows import Row, Value, event_name
from fleetstats.synthetic.seasons import YEAR, date, day
from fleetstats.synthetic.swaps import bench_outcome
from fleetstats.synthetic.things import BenchTest, Vehicle
from fleetstats.synthetic.world import World

SENDERS = ("Outside sender A", "Outside sender B", "Outside sender C", "Outside sender D")


def register_rows(world: World) -> list[Row]:
    """One line per vehicle that the records have met: the unit is the one found by the survey."""
    return [_register_row(world, vehicle) for vehicle in world.vehicles if vehicle.survey is not None]


def _register_row(world: World, vehicle: Vehicle) -> Row:
    assert vehicle.survey is not None
    serial, origin, made = vehicle.survey
    worth = 9000.0 + 160.0 * vehicle.size.litres
    return Row({
        "vehicle_id": vehicle.vehicle_id, "built": date(vehicle.built), "acquired": date(vehicle.in_service - 10), "in_service": date(vehicle.in_service),
        "out_of_service": date(vehicle.left) if vehicle.left is not None and vehicle.left <= world.end else None, "planned_exit": date(vehicle.planned_exit),
        "depot": vehicle.depot.name, "climate_zone": vehicle.depot.climate, "refrigerator_size_l": vehicle.size.litres, "first_cooling_unit_serial": serial,
        "first_origin": origin, "first_unit_made": date(made), "exit_value": round(worth * 0.88 ** ((vehicle.planned_exit - vehicle.built) / YEAR), -2),
        "recall_open": vehicle.recall_open,
    }, vehicle.vehicle_id)


def bench_rows(world: World, stream: Stream, recorded: set[int]) -> dict[str, list[Row]]:
    """Lines of each bench's log by bench: the fleet's cores and those of outside senders, in order of the verdict."""
    logs: dict[str, list[Row]] = {}
    for bench in sorted({shop.bench_name for shop in world.scenario.shops if shop.bench_name}):
        own = [test for test in world.bench_tests if test.bench == bench and test.reported <= world.end and test.visit and test.visit.number in recorded]
        rows = [_bench_row(world, stream, test) for test in own]
        rows += [_outside_row(world, stream, bench) for _ in range(int(len(own) * world.scenario.bench.outside_senders))]
        logs[bench] = sorted(rows, key=lambda row: row.sort)
        for number, row in enumerate(logs[bench], start=1):
            row.values["bench_test_id"] = f"{bench[0]}B{number:04d}"
    return logs


def _bench_row(world: World, stream: Stream, test: BenchTest) -> Row:
    assert test.visit is not None
    row = Row(_bench_values(test), event_name(test.visit), sort=float(test.tested))
    plan = world.scenario.diseases
    names_vehicle, mark = stream.chance(world.scenario.bench.names_vehicle), stream.u()
    row.values["vehicle_id"] = test.visit.vehicle.vehicle_id if names_vehicle else None
    if mark < plan.bench_without_serial:
        row.values["serial"] = None
        row.plant("bench_without_serial", joined=names_vehicle)
    elif mark < plan.bench_without_serial + plan.letter_for_digit and confused(test.serial) != test.serial:
        row.values["serial"] = confused(test.serial)
        row.plant("letter_for_digit", column="serial", serial=plain_serial(test.serial))
    row.visit = test.visit
    return row


def _bench_values(test: BenchTest) -> dict[str, Value]:
    return {
        "serial": test.serial, "received_on": date(test.received), "received_from": test.sender, "sender_symptom": test.claim_symptom, "sender_item": "CU",
        "size_l": test.size.litres, "tested_on": date(test.tested), "reported_on": date(test.reported), "as_received": True, "outcome": test.outcome,
        "mode": test.mode or None, "hours": test.hours, "why_tested": test.why, "blind": False, "bench": test.bench,
    }


def _outside_row(world: World, stream: Stream, bench: str) -> Row:
    shop = next(shop for shop in world.scenario.shops if shop.bench_name == bench)
    tested = int(stream.between(day(world.scenario.covers_from(shop)) + 30, world.end - 30))
    size, failed = stream.pick(world.scenario.sizes), stream.chance(world.scenario.bench.outside_faulty)
    outcome = bench_outcome(world, "failed" if failed else "outside")
    serial = world.foundry.serial(size, tested - stream.between(2.0, 9.0) * YEAR)
    test = BenchTest(bench, serial, size, stream.pick(SENDERS), None, tested - 2, tested, min(world.end, tested + stream.whole(0, 20)), outcome,
                     "blocked" if outcome == "fault confirmed" else "", float(stream.whole(12, 48)), "SYM_NOCOOL", "sender asked")
    return Row(_bench_values(test), None, sort=float(tested))


def rebuild_rows(world: World) -> list[Row]:
    """Units reconditioned in the own shop since its records began."""
    first = day(world.scenario.window.from_)
    done = sorted((rebuild for rebuild in world.rebuilds if first <= rebuild.started and rebuild.finished <= world.end), key=lambda each: each.finished)
    return [Row({
        "serial": each.serial, "started": date(each.started), "finished": date(each.finished), "process": "boiler section renewed, flushed, recharged",
        "parts_renewed": "boiler; insulation", "proof_test_passed": each.passed, "hours": each.hours, "cost": each.cost,
        "price_basis": f"USD {date(each.finished):%Y-%m} net", "outcome": "fit" if each.passed else "scrap",
    }, None) for each in done]


def sighting_rows(world: World) -> list[Row]:
    """Hires that ended without a complaint: the first and the last of each season."""
    known = {vehicle.vehicle_id for vehicle in world.vehicles if vehicle.survey is not None}
    return [Row({"vehicle_id": vehicle, "date": date(number), "working": True, "basis": basis}, None)
            for vehicle, number, basis in sorted(world.sightings, key=lambda each: (each[1], each[0])) if vehicle in known]


def shop_rows(world: World) -> list[Row]:
    """The list of shops."""
    scenario = world.scenario
    return [Row({
        "shop": shop.name, "own": shop.own, "country": shop.country, "currency": shop.currency, "tax": shop.tax, "serves": ";".join(shop.serves),
        "has_bench": shop.bench_name is not None and shop.bench_name.split()[0] == shop.name.split()[0], "covers_from": scenario.covers_from(shop),
        "covers_to": scenario.covers_to(shop), "monthly_capacity": 6.0 if shop.reconditions else None,
    }, None) for shop in scenario.shops]


