"""A light simulation of a fleet: vehicles, the units in them, and visits, as they truly were."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Sequence
from dataclasses import dataclass, field

from tests.drawn.jobs import FITTED, JOBS, PLANNED, SWAPS, Job

FIRST, LAST = dt.date(2017, 1, 1), dt.date(2025, 9, 30)
PER_YEAR = 1.3
"""Visits of a vehicle in a year, come-backs not counted."""

COMES_BACK = 0.07
PLANNED_SHARE = 0.05
SUSPECTED_SHARE = 0.03
REPAIRS = tuple(sorted({job.action for job in JOBS if job.event == "component"}))


@dataclass
class Reading:
    """A number measured: check code, the number and unit as the shop writes them, and the same in SI."""

    check: str
    number: str
    unit: str
    value: float
    si: str


@dataclass
class Visit:
    """One visit as it truly was. event: "condemned", "planned", "component", "nothing found", "sent on" or "suspicion"."""

    number: int
    vehicle: Vehicle
    shop: str
    event: str
    symptom: str
    finding: str
    item: str
    action: str
    complaint_on: dt.date
    opened_on: dt.date
    date_in: dt.date
    date_out: dt.date
    come_back_of: int | None = None
    released_before: dt.date | None = None
    removed: str | None = None
    fitted: str | None = None
    origin: str | None = None
    reason: str | None = None
    tenths: int = 10
    parts: float = 0.0
    labour: float = 0.0
    other: float = 0.0
    payer: str = "fleet"
    detection: str = "in use"
    document: str = ""
    readings: list[Reading] = field(default_factory=list)

    @property
    def total(self) -> float:
        """Net amount of the visit."""
        return round(self.parts + self.labour + self.other, 2)


@dataclass
class Vehicle:
    """A vehicle, the first unit in it and the serial of its refrigerator. stays: (serial, visit that fitted it, visit that removed it)."""

    vehicle_id: str
    in_service: dt.date
    size: int
    first_serial: str
    refrigerator: str
    shops: tuple[str, str]
    stays: list[tuple[str, int | None, int | None]] = field(default_factory=list)


class Serials:
    """Serials of one drawn kind, none of them twice."""

    def __init__(self, dice: random.Random) -> None:
        self.dice, self.used = dice, set[str]()
        self.kind = dice.choice(("letter", "dated", "letters", "zeros"))

    def new(self) -> str:
        """The next serial of a cooling unit."""
        dice, number = self.dice, self.dice.randrange(10_000, 99_999)
        year, week = dice.randrange(4, 25), dice.randrange(1, 53)
        text = {"letter": f"K{number}{dice.randrange(10, 99)}", "dated": f"{year:02d}{week:02d}{number}", "letters": f"AB{number}{dice.randrange(10)}X",
                "zeros": f"00{number}{dice.randrange(100, 999)}"}[self.kind]
        if text in self.used:
            return self.new()
        self.used.add(text)
        return text


def simulate(dice: random.Random, vehicles: int, shops: Sequence[str]) -> tuple[list[Vehicle], list[Visit]]:
    """Vehicles and their visits in the order of numbers; visits of one vehicle lie at least twenty days apart unless one is a come-back."""
    serials = Serials(dice)
    letters = dice.choice(("V", "MH", "", "RV"))
    start = dice.choice((1, 200, 1001))
    fleet = []
    for place in range(vehicles):
        number = f"{letters}{start + place:04d}"
        began = FIRST + dt.timedelta(days=dice.randrange(700))
        pair = dice.sample(list(shops), 2)
        cabinet = f"RF{dice.randrange(100000, 999999)}-{dice.randrange(10, 99)}"
        fleet.append(Vehicle(number, began, dice.choice((95, 150, 230)), serials.new(), cabinet, (pair[0], pair[1])))
    visits: list[Visit] = []
    for vehicle in fleet:
        _life(dice, serials, vehicle, visits)
    return fleet, visits


def _life(dice: random.Random, serials: Serials, vehicle: Vehicle, visits: list[Visit]) -> None:
    serial, fitted_by = vehicle.first_serial, None
    day = vehicle.in_service + dt.timedelta(days=int(dice.expovariate(PER_YEAR / 365)) + 20)
    before: Visit | None = None
    released: dt.date | None = None
    while day < LAST:
        visit = _visit(dice, vehicle, len(visits) + 1, day, before)
        visit.released_before, released = released, visit.date_out
        visits.append(visit)
        if visit.event in ("condemned", "planned"):
            visit.removed, visit.fitted = serial, serials.new()
            vehicle.stays.append((serial, fitted_by, visit.number))
            serial, fitted_by = visit.fitted, visit.number
        again = dice.random() < COMES_BACK and visit.event != "sent on"
        before = visit if again or visit.event == "sent on" else None
        gap = dice.randrange(1, 13) if again else dice.randrange(3) if before else 20 + int(dice.expovariate(PER_YEAR / 365))
        day = visit.date_out + dt.timedelta(days=gap)
    vehicle.stays.append((serial, fitted_by, None))


def _visit(dice: random.Random, vehicle: Vehicle, number: int, day: dt.date, before: Visit | None) -> Visit:
    """A visit opened on the day; after a come-back or when sent on, the complaint is the same."""
    shop = vehicle.shops[0] if dice.random() < 0.75 else vehicle.shops[1]
    sent_on = before is not None and before.event == "sent on"
    if before is not None and sent_on:
        shop = next(name for name in vehicle.shops if name != before.shop)
    job = _job(dice, before, final=sent_on)
    symptom = before.symptom if before is not None and before.symptom else dice.choices(list(job.symptoms), list(job.symptoms.values()))[0]
    opened = day
    arrived = opened + dt.timedelta(days=dice.choice((0, 0, 0, 1, 2)))
    released = arrived + dt.timedelta(days=dice.choice((0, 0, 1, 1, 2, 3, 5, 8, 12)))
    complained = opened if before is not None else opened - dt.timedelta(days=dice.choice((0, 0, 1, 2, 4)))
    visit = Visit(number, vehicle, shop, job.event, symptom, job.finding, job.item, job.action, complained, opened, arrived, released)
    visit.come_back_of = before.number if before is not None and not sent_on else None
    _special(dice, visit)
    _money(dice, visit)
    return visit


def _job(dice: random.Random, before: Visit | None, *, final: bool) -> Job:
    """A job; one whose symptoms may be those of the visit before, and not sent on twice."""
    fitting = [job for job in JOBS if (before is None or before.symptom in job.symptoms) and not (job.event == "sent on" and (final or before is not None))]
    usable = fitting or [job for job in JOBS if job.event == "condemned"]
    return dice.choices(usable, [job.weight for job in usable])[0]


def _special(dice: random.Random, visit: Visit) -> None:
    """Exchanges get their origin, some visits are planned exchanges or end with a suspicion."""
    mark = dice.random()
    if visit.come_back_of is None and visit.event not in ("sent on",) and mark < PLANNED_SHARE:
        visit.event, visit.symptom, visit.finding, visit.item, visit.detection = "planned", "", "", "", "periodic"
        visit.complaint_on = visit.opened_on
        visit.reason = dice.choices(list(PLANNED), list(PLANNED.values()))[0]
    elif visit.event == "condemned" and mark > 1 - SUSPECTED_SHARE * 4:
        visit.event, visit.action = "suspicion", "ACT_NONE"
    elif mark < PLANNED_SHARE + 0.12 and visit.event != "sent on":
        visit.detection = "inspection"
    if visit.event in ("condemned", "planned"):
        visit.reason = visit.reason or "fault of the unit"
        visit.origin = dice.choices(list(FITTED), list(FITTED.values()))[0]
        visit.action = SWAPS[visit.origin]


def _money(dice: random.Random, visit: Visit) -> None:
    visit.tenths = dice.choice((3, 5, 5, 8, 10, 10, 12, 15, 15, 20, 25, 30)) + (25 if visit.removed or visit.reason else 0)
    visit.labour = round(visit.tenths * dice.choice((8.5, 9.5, 11.0)), 2)
    if visit.event in ("condemned", "planned"):
        visit.parts = round(dice.uniform(400, 1500), 2)
    elif visit.event == "component":
        visit.parts = round(dice.uniform(8, 220), 2)
    visit.other = round(dice.uniform(10, 60), 2) if dice.random() < 0.3 else 0.0
    visit.payer = dice.choices(("fleet", "warranty", "renter"), (7, 2, 1))[0]
    visit.document = f"{visit.number * 3 + 20000 + dice.randrange(3)}"
