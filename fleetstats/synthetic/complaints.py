"""A complaint and what the shop makes of it: condemn, repair, miss the fault, or send the vehicle on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fleetstats.synthetic.codes import COOLING_ITEMS, STALL_ITEMS, SYMPTOMS
from fleetstats.synthetic.scenario import Shop
from fleetstats.synthetic.seasons import YEAR, date, in_season
from fleetstats.synthetic.swaps import condemn
from fleetstats.synthetic.things import Unit, Vehicle, Visit
from fleetstats.synthetic.world import World


@dataclass(frozen=True)
class Complaint:
    """What the customer says and what truly lies behind it. gap: days since the release it comes back after.

    final: the shop gets it right this time. unit: the one that failed; once it is out of the vehicle nobody complains of it.
    """

    cause: str
    item: str
    group: str
    symptom: str
    detection: str
    shop: Shop | None = None
    gap: int | None = None
    final: bool = False
    unit: Unit | None = None


def unit_fails(world: World, vehicle: Vehicle, number: int, unit: Unit) -> None:
    """The unit has failed: noticed within days on hire, else at the next inspection or first hire."""
    if vehicle.unit is not unit or vehicle.failed:
        return
    vehicle.failed = True
    if in_season(vehicle.depot, number):
        world.plan(number + world.stream.whole(0, 4), vehicle, lambda w, v, n: notice_failure(w, v, n, unit, "in use"))


def notice_failure(world: World, vehicle: Vehicle, number: int, unit: Unit, detection: str) -> None:
    """A failed unit is complained of, if it is still there."""
    if vehicle.unit is unit and vehicle.failed:
        group = world.stream.weighted(world.scenario.life.symptoms)
        complain(world, vehicle, number, Complaint("failed", "CU", group, world.stream.weighted(SYMPTOMS[group]), detection, unit=unit))


def outside_fault(world: World, vehicle: Vehicle, number: int, detection: str = "in use") -> None:
    """A fault outside the unit shows as poor cooling; behind a failed unit it does not show."""
    if vehicle.failed:
        return
    group = world.stream.weighted(world.scenario.outside.symptoms)
    symptom, item = world.stream.weighted(SYMPTOMS[group]), world.stream.weighted(COOLING_ITEMS[group])
    stalled = world.stream.chance(world.scenario.outside.stall_share) and group != "leak"
    cause = "stall" if stalled else "outside"
    complain(world, vehicle, number, Complaint(cause, world.stream.pick(STALL_ITEMS) if stalled else item, group, symptom, detection))


def complain(world: World, vehicle: Vehicle, number: int, complaint: Complaint) -> None:
    """The vehicle comes to a shop; a shop that still has it makes the complaint wait."""
    if number <= vehicle.free_from:
        world.plan(vehicle.free_from + 1 + world.stream.whole(0, 3), vehicle, lambda w, v, n: complain(w, v, n, complaint))
        return
    if vehicle.failed != (complaint.cause == "failed") or (complaint.unit is not None and complaint.unit is not vehicle.unit):
        return
    visit = open_visit(world, vehicle, number, complaint)
    if not complaint.final and world.stream.chance(visit.shop.sends_on):
        _send_on(world, visit, complaint)
    elif complaint.cause == "failed":
        _judge_failure(world, visit, complaint)
    elif not complaint.final and world.stream.chance(misjudgement(world, visit)):
        condemn(world, visit)
        _after_needless(world, visit, complaint)
    else:
        _repair(world, visit, complaint)


def open_visit(world: World, vehicle: Vehicle, number: int, complaint: Complaint) -> Visit:
    """A visit with its days; the stay is that of a repair until somebody swaps the unit."""
    stream = world.stream
    shop = complaint.shop or world.choose_shop(vehicle, number)
    opened = number + (0 if complaint.gap is not None or complaint.detection != "in use" else stream.whole(0, 2))
    date_in = opened + (0 if complaint.gap is not None else stream.whole(0, 2))
    date_out = date_in + world.stay(world.scenario.visits.stay_component_days)
    visit = Visit(
        len(world.visits), vehicle, shop, complaint.cause, complaint.item, complaint.group, complaint.symptom, complaint.detection,
        number if complaint.detection == "in use" else None, opened, date_in, date_out, "repaired", complaint.gap,
        unit_age_years=max(0.0, (opened - vehicle.unit.made) / YEAR),
    )
    vehicle.free_from = date_out
    world.visits.append(visit)
    return visit


def misjudgement(world: World, visit: Visit) -> float:
    """Chance that the shop takes an outside fault for a fault of the unit."""
    plan, shop = world.scenario.outside, visit.shop
    band = sum(visit.unit_age_years >= limit for limit in plan.age_bands_years)
    learnt = shop.improves.factor if shop.improves and date(visit.opened).year >= shop.improves.year else 1.0
    hot = plan.hot_factor if visit.vehicle.depot.hot else 1.0
    return min(0.95, shop.misjudge * learnt * plan.age_factors[band] * hot)


def _send_on(world: World, visit: Visit, complaint: Complaint) -> None:
    visit.kind = "sent on"
    better = world.better_shop(visit.vehicle, visit.date_out)
    onward = replace(complaint, shop=better, gap=None, detection="in use")
    world.plan(visit.date_out + world.stream.whole(1, 4), visit.vehicle, lambda w, v, n: complain(w, v, n, onward))


def _judge_failure(world: World, visit: Visit, complaint: Complaint) -> None:
    if complaint.final or complaint.group == "leak" or not world.stream.chance(world.scenario.visits.missed):
        condemn(world, visit)
        if world.stream.chance(world.scenario.visits.fit_trouble):
            again = Complaint("outside", "CU_FIT", "weak", "SYM_BOXWARM", "in use", visit.shop, comeback_gap(world), final=True)
            _come_back(world, visit, again)
        return
    visit.kind = "missed"
    visit.item = world.stream.weighted(COOLING_ITEMS[complaint.group])
    gap = world.stream.whole(*world.scenario.visits.missed_gap_days)
    _come_back(world, visit, replace(complaint, gap=gap, detection="in use", final=True, shop=None))


def _after_needless(world: World, visit: Visit, complaint: Complaint) -> None:
    if complaint.cause == "outside" and world.stream.chance(world.scenario.outside.persists):
        _come_back(world, visit, replace(complaint, gap=comeback_gap(world), detection="in use", final=True, shop=None))


def _repair(world: World, visit: Visit, complaint: Complaint) -> None:
    if not complaint.final and world.stream.chance(world.scenario.visits.repeat):
        _come_back(world, visit, replace(complaint, gap=comeback_gap(world), detection="in use", final=True, shop=None))


def comeback_gap(world: World) -> int:
    """Days from a release to the next complaint: the third day for some, else 1 to 29."""
    if world.stream.chance(world.scenario.visits.day_three):
        return 3
    return 1 + int(world.stream.exponential(world.scenario.visits.comeback_mean_days)) % 29


def _come_back(world: World, visit: Visit, complaint: Complaint) -> None:
    day_again = visit.date_out + (complaint.gap or 1)
    if in_season(visit.vehicle.depot, day_again):
        world.plan(day_again, visit.vehicle, lambda w, v, n: complain(w, v, n, complaint))
    elif complaint.cause == "failed":
        unit = visit.vehicle.unit
        world.plan(day_again, visit.vehicle, lambda w, v, n: notice_failure(w, v, n, unit, "in use"))
