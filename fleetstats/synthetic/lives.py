"""The agenda of every vehicle: seasons, faults, inspections, planned exchanges, hires, sale."""

from __future__ import annotations

from fleetstats.synthetic.codes import COOLING_ITEMS, OTHER_FAULTS, SYMPTOMS
from fleetstats.synthetic.complaints import Complaint, notice_failure, open_visit, outside_fault, unit_fails
from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.fleet import Foundry, make_vehicles
from fleetstats.synthetic.scenario import Scenario
from fleetstats.synthetic.seasons import YEAR, date, in_season, seasons_between
from fleetstats.synthetic.swaps import age_of, exchange
from fleetstats.synthetic.things import Vehicle
from fleetstats.synthetic.world import World, years_in_service


def simulate(scenario: Scenario, stream: Stream, vehicles: int) -> World:
    """The fleet from its first vehicle to the end of the window."""
    foundry = Foundry(scenario, stream)
    world = World(scenario, stream, foundry, make_vehicles(scenario, stream, foundry, vehicles), unit_fails)
    for vehicle in world.vehicles:
        world.await_failure(vehicle, vehicle.in_service)
        world.plan(world.records_begin(vehicle), vehicle, lambda w, v, n: w.survey(v))
        for first, last in seasons_between(vehicle.depot, vehicle.in_service, min(vehicle.planned_exit, world.end)):
            _plan_season(world, vehicle, first, last)
    _plan_open_orders(world)
    world.run()
    for vehicle in world.vehicles:
        if vehicle.gone_on <= world.end:
            vehicle.left = max(vehicle.gone_on, int(vehicle.free_from) + 1)
    return world


def _plan_season(world: World, vehicle: Vehicle, first: int, last: int) -> None:
    stream, plan = world.stream, world.scenario.outside
    start, end = max(first, vehicle.in_service), min(last, vehicle.planned_exit)
    length = max(0, end - start) / YEAR
    growth = 1.0 + plan.age_slope * max(0.0, years_in_service(vehicle, start))
    for _ in range(stream.poisson(plan.rate * growth * length)):
        world.plan(stream.between(start, end), vehicle, outside_fault)
    for _ in range(stream.poisson(plan.other_rate * growth * length)):
        world.plan(stream.between(start, end), vehicle, other_fault)
    if first - 30 > vehicle.in_service:
        world.plan(first - stream.whole(5, 20), vehicle, inspect)
    world.plan(start + 0.5, vehicle, _first_hire)
    world.plan(start + stream.whole(3, 14), vehicle, _sight)
    world.plan(last - stream.whole(0, 21), vehicle, _sight)
    world.plan(last + 0.5, vehicle, _season_ends)


def _plan_open_orders(world: World) -> None:
    """Complaints shortly before the end, at depots in season, which no shop has dealt with yet."""
    here = [vehicle for vehicle in world.vehicles if in_season(vehicle.depot, world.end) and vehicle.planned_exit > world.end]
    for place in range(min(world.scenario.visits.open_at_end, len(here))):
        group = "leak" if place == 0 else world.stream.weighted(world.scenario.outside.symptoms)
        item, symptom = world.stream.weighted(COOLING_ITEMS[group]), world.stream.weighted(SYMPTOMS[group])
        complaint = Complaint("outside", item, group, symptom, "in use")
        world.plan(world.end - world.stream.whole(8, 12), world.stream.pick(here), lambda w, v, n, c=complaint: _wait(w, v, n, c))  # type: ignore[misc]


def _wait(world: World, vehicle: Vehicle, number: int, complaint: Complaint) -> None:
    if number > vehicle.free_from and not vehicle.failed:
        visit = open_visit(world, vehicle, number, complaint)
        visit.date_out = vehicle.free_from = world.end + world.stream.whole(2, 20)


def other_fault(world: World, vehicle: Vehicle, number: int) -> None:
    """A fault that does not look like poor cooling: repaired."""
    symptom, item = world.stream.weighted(OTHER_FAULTS)
    if number > vehicle.free_from and not vehicle.failed:
        open_visit(world, vehicle, number, Complaint("outside", item, "no cooling complaint", symptom, "in use"))


def inspect(world: World, vehicle: Vehicle, number: int) -> None:
    """Before the season: failures of the winter, planned exchanges, outside faults, or nothing, are found."""
    stream, plan = world.stream, world.scenario.outside
    if number <= vehicle.free_from:
        return
    if vehicle.failed:
        notice_failure(world, vehicle, number, vehicle.unit, "inspection")
    elif reason := _planned(world, vehicle, number):
        nothing = Complaint("planned" if reason != "other" else "body", "FRIDGE" if reason == "other" else "CU", "none", "", "periodic")
        exchange(world, open_visit(world, vehicle, number, nothing), reason, whole=reason == "other")
    elif stream.chance(plan.rate * plan.inspection_mass):
        outside_fault(world, vehicle, number, "inspection")
    elif stream.chance(plan.periodic_share):
        open_visit(world, vehicle, number, Complaint("none", "NONE", "none", "", "periodic")).kind = "nothing found"


def _planned(world: World, vehicle: Vehicle, number: int) -> str | None:
    stream, plan = world.stream, world.scenario.planned
    made, year, large = date(vehicle.unit.made).year, date(number).year, vehicle.size is world.scenario.sizes[-1]
    if large and year == plan.recall_season and plan.recall_made[0] <= made <= plan.recall_made[1] and vehicle.unit.origin == "new":
        if stream.chance(plan.recall_share):
            return "recall"
        vehicle.recall_open = True
    stays = (vehicle.planned_exit - number) / YEAR > 1.5
    if vehicle.depot.country == "GB" and stays and age_of(vehicle.unit, number) > plan.age_policy_years and stream.chance(plan.age_policy_share):
        return "age policy"
    rates = {"upgrade": plan.upgrade_rate, "request": plan.request_rate, "other": plan.body_rate}
    return stream.weighted(rates) if stream.chance(sum(rates.values())) else None


def _first_hire(world: World, vehicle: Vehicle, number: int) -> None:
    if vehicle.failed:
        notice_failure(world, vehicle, number + world.stream.whole(0, 5), vehicle.unit, "in use")


def _sight(world: World, vehicle: Vehicle, number: int) -> None:
    if number >= world.records_begin(vehicle) and number > vehicle.free_from and vehicle.unit.fails > number and not vehicle.failed:
        world.sightings.append((vehicle.vehicle_id, number, "hire ended without complaint"))


def _season_ends(world: World, vehicle: Vehicle, number: int) -> None:
    plan = world.scenario.fleet
    weak = number < vehicle.unit.fails < number + YEAR
    if weak and years_in_service(vehicle, number) > plan.sold_weak_after_years and world.stream.chance(plan.sold_weak_share):
        vehicle.left = max(number, int(vehicle.free_from)) + world.stream.whole(1, 20)


