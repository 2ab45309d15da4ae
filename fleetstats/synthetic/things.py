"""What the simulation is about: units, vehicles, visits, bench tests. Days are numbers, see seasons.py."""

from __future__ import annotations

from dataclasses import dataclass, field

from fleetstats.synthetic.scenario import Depot, Shop, Size


@dataclass
class Unit:
    """A cooling unit: its clock starts at `made` (new or last reconditioned), it fails on `fails`."""

    serial: str
    size: Size
    origin: str
    made: float
    fails: float


@dataclass
class Vehicle:
    """A vehicle with the unit in it now; first_* describe the unit found when the records of its depot began."""

    vehicle_id: str
    depot: Depot
    size: Size
    built: int
    in_service: int
    planned_exit: int
    unit: Unit
    left: int | None = None
    free_from: float = 0.0
    failed: bool = False
    survey: tuple[str, str, float] | None = None
    recall_open: bool = False

    @property
    def gone_on(self) -> int:
        """Day it leaves the fleet, as far as is known."""
        return self.planned_exit if self.left is None else self.left


@dataclass
class Reading:
    """A number measured at a visit: check code, what the shop wrote, the same in the unit of the checks table."""

    check: str
    text: str
    glued: bool
    value: float
    unit: str


@dataclass
class Visit:
    """One visit as it truly was. cause: "failed", "outside", "stall", "planned", "body" or "none"."""

    number: int
    vehicle: Vehicle
    shop: Shop
    cause: str
    item: str
    group: str
    symptom: str
    detection: str
    complaint_on: int | None
    opened: int
    date_in: int
    date_out: int
    kind: str
    comeback_gap: int | None = None
    removed: Unit | None = None
    fitted: Unit | None = None
    fitted_origin: str | None = None
    whole: bool = False
    reason: str | None = None
    unit_age_years: float = 0.0
    suspect: bool = False
    deny: bool = False
    technician: str = ""
    payer: str = "fleet"
    hours: float = 0.0
    parts: float = 0.0
    other: float = 0.0
    document: str = ""
    readings: list[Reading] = field(default_factory=list)
    complaint_text: str = ""
    cause_text: str = ""
    correction_text: str = ""

    @property
    def condemned(self) -> bool:
        """A unit was removed because it was said to be at fault."""
        return self.reason == "fault of the unit"

    @property
    def needless(self) -> bool:
        """Condemned, but did not need replacing; a stall that handling restarts counts as healthy."""
        return self.condemned and self.cause != "failed"

    @property
    def labour(self) -> float:
        """Labour in money of the shop, net."""
        return self.hours * price_level(self.shop.rate_per_hour, self.date_out)


@dataclass
class BenchTest:
    """One core on a bench."""

    bench: str
    serial: str
    size: Size
    sender: str
    visit: Visit | None
    received: int
    tested: int
    reported: int
    outcome: str
    mode: str
    hours: float
    claim_symptom: str
    why: str


@dataclass
class Rebuild:
    """One unit reconditioned in the own shop."""

    serial: str
    started: int
    finished: int
    passed: bool
    hours: float
    cost: float


JANUARY_2015 = 735599


def price_level(amount: float, number: int) -> float:
    """An amount of January 2015 money in the money of the day, at 3 % a year."""
    return float(amount * 1.03 ** ((number - JANUARY_2015) / 365.25))
