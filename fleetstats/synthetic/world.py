"""The state of the simulated fleet and its agenda: what happens on which day to which vehicle."""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.fleet import Foundry
from fleetstats.synthetic.scenario import Scenario, Shop
from fleetstats.synthetic.seasons import YEAR, day
from fleetstats.synthetic.things import BenchTest, Rebuild, Unit, Vehicle, Visit

Happening = Callable[["World", Vehicle, int], None]
Failing = Callable[["World", Vehicle, int, Unit], None]


@dataclass
class Shelf:
    """Units waiting for a vehicle, per country and size: a unit tested healthy as it is, or the serial of a reconditioned core."""

    healthy: dict[tuple[str, str], list[tuple[int, Unit]]] = field(default_factory=lambda: defaultdict(list))
    rebuilt: dict[tuple[str, str], list[tuple[int, str]]] = field(default_factory=lambda: defaultdict(list))


class World:
    """Everything the simulation knows. unit_fails: what happens when a unit fails."""

    def __init__(self, scenario: Scenario, stream: Stream, foundry: Foundry, vehicles: list[Vehicle], unit_fails: Failing) -> None:
        self.scenario, self.stream, self.foundry, self.vehicles, self._unit_fails = scenario, stream, foundry, vehicles, unit_fails
        self.visits: list[Visit] = []
        self.bench_tests: list[BenchTest] = []
        self.rebuilds: list[Rebuild] = []
        self.sightings: list[tuple[str, int, str]] = []
        self.shelf = Shelf()
        self.end = day(scenario.window.to)
        self._agenda: list[tuple[float, int, Vehicle, Happening]] = []
        self._asked = 0

    def plan(self, number: float, vehicle: Vehicle, happening: Happening) -> None:
        """Put a happening on the agenda; what lies beyond the window never happens."""
        if number <= self.end:
            self._asked += 1
            heapq.heappush(self._agenda, (number, self._asked, vehicle, happening))

    def run(self) -> None:
        """Let everything happen in the order of days."""
        while self._agenda:
            number, _, vehicle, happening = heapq.heappop(self._agenda)
            if number < vehicle.gone_on:
                happening(self, vehicle, int(number))

    def records_begin(self, vehicle: Vehicle) -> int:
        """Day from which records about the vehicle exist."""
        return max(day(vehicle.depot.records_from), vehicle.in_service)

    def survey(self, vehicle: Vehicle) -> None:
        """Write down which unit is in the vehicle, once."""
        if vehicle.survey is None:
            vehicle.survey = (vehicle.unit.serial, vehicle.unit.origin, vehicle.unit.made)

    def install(self, vehicle: Vehicle, unit: Unit, number: int) -> None:
        """Put a unit into a vehicle and look forward to its failure."""
        vehicle.unit, vehicle.failed = unit, False
        self.await_failure(vehicle, number)

    def await_failure(self, vehicle: Vehicle, number: int) -> None:
        """The unit's failure goes on the agenda."""
        unit = vehicle.unit
        self.plan(max(unit.fails, number + 1), vehicle, lambda world, van, today: self._unit_fails(world, van, today, unit))

    def shops_for(self, vehicle: Vehicle, number: int) -> list[Shop]:
        """Shops that serve the vehicle's depot on the day."""
        return [shop for shop in self.scenario.shops if vehicle.depot.name in shop.serves and (shop.opens is None or day(shop.opens) <= number)]

    def choose_shop(self, vehicle: Vehicle, number: int) -> Shop:
        """The shop a complaint goes to."""
        shops = self.shops_for(vehicle, number)
        name = self.stream.weighted({shop.name: shop.weight for shop in shops})
        return next(shop for shop in shops if shop.name == name)

    def better_shop(self, vehicle: Vehicle, number: int) -> Shop:
        """The shop that takes hard cases of the depot."""
        return next(shop for shop in self.shops_for(vehicle, number) if shop.better)

    def recorded(self, visit: Visit) -> bool:
        """Whether a line about the visit, finished or open, reached us by the end."""
        begin = max(day(self.scenario.covers_from(visit.shop)), day(visit.vehicle.depot.records_from))
        return begin <= visit.opened <= day(self.scenario.covers_to(visit.shop)) and reported_on(visit, self.end) <= self.end

    def stay(self, days: tuple[int, int]) -> int:
        """Days a vehicle stays in a shop; some wait for a part."""
        waits = self.stream.chance(self.scenario.visits.backorder)
        waiting = self.stream.exponential(self.scenario.visits.backorder_mean_days)
        return self.stream.whole(*days) + (int(waiting) if waits else 0)


def reported_on(visit: Visit, end: int) -> int:
    """Day the line of the visit became known; an order still open at `end` is listed earlier by some shops."""
    shop = visit.shop
    if visit.date_out > end:
        return visit.date_in + (shop.reporting_days if shop.lists_open_after_days is None else shop.lists_open_after_days)
    return visit.date_out + shop.reporting_days


def years_in_service(vehicle: Vehicle, number: float) -> float:
    """Years the vehicle has been on hire."""
    return (number - vehicle.in_service) / YEAR
