"""Histories: tenures of cooling units, component events, and exposure."""

from fleetstats.tables.bench import BENCH_OUTCOMES
from fleetstats.tables.column import Column, Table

ENDINGS = ("condemned", "planned", "left fleet", "in service", "other")
SYMPTOM_GROUPS = ("leak", "no cooling", "weak", "other")

TENURES = Table(name="tenures", meaning="one unit's stay in one vehicle", key=("tenure_id",), columns={
    "tenure_id": Column(kind="string", meaning="vehicle and day of installation", nullable=False),
    "vehicle_id": Column(kind="string", meaning="vehicle", nullable=False),
    "serial": Column(kind="string", meaning="serial of the unit, where known"),
    "serial_basis": Column(kind="string", meaning="how the serial is known: read, from the chain, or mended (confusion of letters, leading zeros lost, a misread sign)"),
    "origin": Column(kind="string", meaning="population of the unit", values=("new", "reconditioned", "unknown"), nullable=False),
    "installed": Column(kind="date", meaning="day fitted", nullable=False),
    "ended": Column(kind="date", meaning="day removed, vehicle left, or last day observed", nullable=False),
    "unit_age_at_installed_years": Column(kind="float", meaning="age since new or last reconditioned when fitted", unit="years (365.25 d)", low=0, nullable=False),
    "entered_years": Column(kind="float", meaning="age when it came under observation (left truncation)", unit="years (365.25 d)", low=0, nullable=False),
    "ended_years": Column(kind="float", meaning="age when the tenure ended or was last known to work", unit="years (365.25 d)", low=0, nullable=False),
    "last_good_years": Column(kind="float", meaning="last age at which it was known to work; below ended_years for faults found at an inspection", unit="years (365.25 d)", low=0, nullable=False),
    "watched_to_years": Column(kind="float", meaning="age at which the records of the vehicle's shops end; what came later is known by chance and is no event of a life", unit="years (365.25 d)", low=0),
    "ending": Column(kind="string", meaning="why the stay ended", values=ENDINGS, nullable=False),
    "detection": Column(kind="string", meaning="how the fault of a condemned unit was met", values=("in use", "inspection")),
    "symptom": Column(kind="string", meaning="complaint code at the ending"),
    "symptom_group": Column(kind="string", meaning="group of that complaint", values=SYMPTOM_GROUPS),
    "shop": Column(kind="string", meaning="shop that ended it"),
    "depot": Column(kind="string", meaning="depot of the vehicle at the ending"),
    "size_l": Column(kind="float", meaning="volume of the refrigerator", unit="litres"),
    "hot": Column(kind="bool", meaning="stationed in a hot climate zone"),
    "bench_outcome": Column(kind="string", meaning="bench verdict of a condemned unit", values=BENCH_OUTCOMES),
    "bench": Column(kind="string", meaning="bench that gave it"),
    "bench_test_id": Column(kind="string", meaning="its record"),
    "why_tested": Column(kind="string", meaning="why it was tested"),
    "come_back": Column(kind="string", meaning="the same complaint again after the removal", values=("yes", "no", "not observable")),
    "installed_by": Column(kind="string", meaning="visit that fitted it; missing: with the vehicle"),
    "ended_by": Column(kind="string", meaning="visit that removed it"),
    "faults": Column(kind="string", meaning="named faults of the history: overlap, gap, jump, teleport, separated by ';'"),
})

COMPONENT_EVENTS = Table(name="component_events", meaning="faults outside the cooling unit and complaints released without a removal, within the time a vehicle was watched", key=("visit_id",), columns={
    "visit_id": Column(kind="string", meaning="visit", nullable=False),
    "vehicle_id": Column(kind="string", meaning="vehicle", nullable=False),
    "date": Column(kind="date", meaning="day", nullable=False),
    "item": Column(kind="string", meaning="item at fault"),
    "symptom": Column(kind="string", meaning="complaint code"),
    "cooling_complaint": Column(kind="bool", meaning="showed as a complaint about cooling"),
    "shop": Column(kind="string", meaning="shop"),
    "depot": Column(kind="string", meaning="depot of the vehicle"),
    "size_l": Column(kind="float", meaning="volume of the refrigerator", unit="litres"),
})

EXPOSURE = Table(name="exposure", meaning="vehicle-years under observation", key=("vehicle_id", "from"), columns={
    "vehicle_id": Column(kind="string", meaning="vehicle", nullable=False),
    "depot": Column(kind="string", meaning="depot"),
    "from": Column(kind="date", meaning="first day", nullable=False),
    "to": Column(kind="date", meaning="last day", nullable=False),
    "years": Column(kind="float", meaning="length", unit="years (365.25 d)", low=0, nullable=False),
    "size_l": Column(kind="float", meaning="volume of the refrigerator", unit="litres"),
})
