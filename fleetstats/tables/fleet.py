"""Vehicles, shops, where vehicles stood, when they were seen working, and the rental calendar."""

from fleetstats.tables.column import Column, Table

ORIGINS = ("new", "reconditioned", "used, tested healthy", "own unit put back", "own unit reconditioned", "unknown")
"""What was fitted, as the visit says it."""

VEHICLES = Table(name="vehicles", meaning="one row per vehicle of the fleet, past ones too", key=("vehicle_id",), columns={
    "vehicle_id": Column(kind="string", meaning="the fleet's own number of the vehicle", nullable=False),
    "vin": Column(kind="string", meaning="end of its VIN, the first nine signs left out"),
    "plate": Column(kind="string", meaning="its number plate, keyed: it tells the same plate again and cannot be read"),
    "built": Column(kind="date", meaning="day the vehicle was built"),
    "acquired": Column(kind="date", meaning="day the fleet bought it"),
    "in_service": Column(kind="date", meaning="first day on hire"),
    "out_of_service": Column(kind="date", meaning="day it left the fleet"),
    "planned_exit": Column(kind="date", meaning="day it is meant to leave the fleet"),
    "depot": Column(kind="string", meaning="home depot; see assignments where it changed"),
    "climate_zone": Column(kind="string", meaning="climate of the depot, in the fleet's own words (\"hot\" is used by the life model)"),
    "refrigerator_size_l": Column(kind="float", meaning="volume of the refrigerator", unit="litres", low=20, high=600),
    "first_cooling_unit_serial": Column(kind="string", meaning="serial of the cooling unit it came with"),
    "first_origin": Column(kind="string", meaning="origin of that unit", values=ORIGINS),
    "first_unit_made": Column(kind="date", meaning="day that unit was new or last reconditioned, when it is not the day the vehicle was built"),
    "exit_value": Column(kind="float", meaning="expected sale value at the planned exit", unit="money of price_basis", low=0),
    "price_basis": Column(kind="string", meaning='currency, month and tax of the money in this row, e.g. "EUR 2026-01 net"'),
    "recall_open": Column(kind="bool", meaning="a safety recall of the refrigerator is open"),
})

SHOPS = Table(name="shops", meaning="one row per workshop", key=("shop",), columns={
    "shop": Column(kind="string", meaning="short name of the shop", nullable=False),
    "own": Column(kind="bool", meaning="belongs to the fleet"),
    "country": Column(kind="string", meaning="ISO 3166 two-letter code"),
    "currency": Column(kind="string", meaning="ISO 4217 code"),
    "tax": Column(kind="string", meaning="how its prices are stated", values=("net", "gross", "unknown")),
    "serves": Column(kind="string", meaning="depots it serves, separated by ';'"),
    "has_bench": Column(kind="bool", meaning="can run a removed unit on a bench"),
    "covers_from": Column(kind="date", meaning="first day its records cover"),
    "covers_to": Column(kind="date", meaning="last day its records cover"),
    "monthly_capacity": Column(kind="float", meaning="units it can recondition in a month", unit="units", low=0),
})

ASSIGNMENTS = Table(name="assignments", meaning="where a vehicle was stationed", key=("vehicle_id", "from"), columns={
    "vehicle_id": Column(kind="string", meaning="vehicle", nullable=False),
    "depot": Column(kind="string", meaning="depot", nullable=False),
    "from": Column(kind="date", meaning="first day", nullable=False),
    "to": Column(kind="date", meaning="last day; missing: still there"),
})

SIGHTINGS = Table(name="sightings", meaning="days on which the refrigerator was seen to work", key=(), columns={
    "vehicle_id": Column(kind="string", meaning="vehicle", nullable=False),
    "date": Column(kind="date", meaning="day", nullable=False),
    "working": Column(kind="bool", meaning="it worked"),
    "basis": Column(kind="string", meaning="how that is known", values=("hire ended without complaint", "periodic check", "visit released")),
})

CALENDAR = Table(name="calendar", meaning="rental calendar: what a day out of service costs", key=("depot", "month"), columns={
    "depot": Column(kind="string", meaning="depot", nullable=False),
    "month": Column(kind="int", meaning="calendar month", unit="1 to 12", low=1, high=12),
    "share_rented": Column(kind="float", meaning="share of days on hire", unit="share", low=0, high=1),
    "daily_margin": Column(kind="float", meaning="margin of a rented day", unit="money of price_basis per day", low=0),
    "substitutable_share": Column(kind="float", meaning="share of lost days that another vehicle covers", unit="share", low=0, high=1),
    "price_basis": Column(kind="string", meaning='e.g. "EUR 2026-01 net"', nullable=False),
})
