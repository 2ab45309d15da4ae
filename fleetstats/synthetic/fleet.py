"""The vehicles and the units they came with."""

from __future__ import annotations

from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.laws import draw_life
from fleetstats.synthetic.scenario import Depot, Scenario, Size
from fleetstats.synthetic.seasons import YEAR, date, day
from fleetstats.synthetic.things import Unit, Vehicle


class Foundry:
    """Makes units: serial numbers never stand twice, not even after O/0 and I/1 are confused."""

    def __init__(self, scenario: Scenario, stream: Stream) -> None:
        self._life, self._stream, self._count = scenario.life, stream, 0

    def serial(self, size: Size, made: float) -> str:
        """The next serial: size, year and week of making, running number."""
        self._count += 1
        year, week, _ = date(made).isocalendar()
        return f"{size.letter}{year % 100:02d}{week:02d}-{self._count * 7 % 10000:04d}"

    def new(self, size: Size, depot: Depot, made: float, *, works_until: float | None = None) -> Unit:
        """A new unit, known to work on the day `works_until` where that is given."""
        age = max(0.0, (works_until - made) / YEAR) if works_until is not None else 0.0
        years = draw_life(self._stream, size, self._life, hot=depot.hot, reconditioned=False, survived_years=age)
        return Unit(self.serial(size, made), size, "new", made, made + years * YEAR)

    def reconditioned(self, size: Size, depot: Depot, made: float, serial: str | None = None) -> Unit:
        """A reconditioned unit; `serial` for one of the fleet's own cores."""
        years = draw_life(self._stream, size, self._life, hot=depot.hot, reconditioned=True)
        name = serial or self.serial(size, made - self._stream.between(3.0, 9.0) * YEAR)
        return Unit(name, size, "reconditioned", made, made + years * YEAR)


def make_vehicles(scenario: Scenario, stream: Stream, foundry: Foundry, count: int) -> list[Vehicle]:
    """`count` vehicles in the order in which the fleet bought them."""
    plan = scenario.fleet
    first, last = day(plan.first_acquired), day(plan.last_acquired)
    starts = sorted(int(stream.between(first, last)) for _ in range(count))
    return [_vehicle(scenario, stream, foundry, number, start) for number, start in enumerate(starts, start=1)]


def _vehicle(scenario: Scenario, stream: Stream, foundry: Foundry, number: int, start: int) -> Vehicle:
    plan = scenario.fleet
    depot = stream.weighted({depot.name: depot.share for depot in scenario.depots})
    home = next(each for each in scenario.depots if each.name == depot)
    letter = stream.weighted({size.letter: size.share for size in scenario.sizes})
    size = next(each for each in scenario.sizes if each.letter == letter)
    used = stream.chance(plan.used_share)
    age = stream.between(*plan.used_age_years) * YEAR if used else stream.between(*plan.build_lag_days)
    built = int(start - age)
    unit = foundry.new(size, home, built, works_until=start)
    leaves = int(start + stream.between(*plan.stay_years) * YEAR)
    return Vehicle(f"V{number:04d}", home, size, built, start, leaves, unit)
