"""Bench tests of removed units, reconditioning, and where units went."""

from fleetstats.tables.column import Column, Table

BENCH_OUTCOMES = ("fault confirmed", "no fault found", "restarted", "inconclusive")

BENCH_TESTS = Table(name="bench_tests", meaning="one row per removed unit run on a bench", key=("bench_test_id",), columns={
    "bench_test_id": Column(kind="string", meaning="identifier made from bench and number, or from file and row", nullable=False),
    "serial": Column(kind="string", meaning="serial of the unit"),
    "received_on": Column(kind="date", meaning="day the core arrived"),
    "received_from": Column(kind="string", meaning="sender of the core"),
    "sender_item": Column(kind="string", meaning="item the sender said was at fault"),
    "sender_mode": Column(kind="string", meaning="mode the sender named"),
    "sender_symptom": Column(kind="string", meaning="complaint the sender gave"),
    "visit_id": Column(kind="string", meaning="visit that removed the unit, where the log names it"),
    "vehicle_id": Column(kind="string", meaning="vehicle the unit came from, where the log names it"),
    "size_l": Column(kind="float", meaning="volume of the refrigerator it served", unit="litres", low=20, high=600),
    "made_on": Column(kind="date", meaning="day the unit was made or last reconditioned"),
    "tested_on": Column(kind="date", meaning="day of the verdict"),
    "reported_on": Column(kind="date", meaning="day the row became known"),
    "as_received": Column(kind="bool", meaning="tested before it was opened"),
    "outcome": Column(kind="string", meaning="verdict; restarted: a stall that handling cured", values=BENCH_OUTCOMES),
    "mode": Column(kind="string", meaning="mode found"),
    "hours": Column(kind="float", meaning="length of the run", unit="hours", low=0),
    "bench": Column(kind="string", meaning="name of the bench"),
    "why_tested": Column(kind="string", meaning="why this core was tested", values=("all", "random draw", "doubt", "warranty", "sender asked")),
    "draw_probability": Column(kind="float", meaning="probability with which it was drawn", unit="share", low=0, high=1),
    "blind": Column(kind="bool", meaning="the tester did not know the claim"),
})

RECONDITIONINGS = Table(name="reconditionings", meaning="one row per unit reconditioned", key=(), columns={
    "serial": Column(kind="string", meaning="serial of the unit", nullable=False),
    "started": Column(kind="date", meaning="first day of work"),
    "finished": Column(kind="date", meaning="last day of work"),
    "process": Column(kind="string", meaning="what was done, in the shop's own words"),
    "parts_renewed": Column(kind="string", meaning="parts renewed, separated by ';'"),
    "proof_test_passed": Column(kind="bool", meaning="held the proof pressure"),
    "hours": Column(kind="float", meaning="hands-on time", unit="hours", low=0),
    "cost": Column(kind="float", meaning="cost", unit="money of price_basis"),
    "price_basis": Column(kind="string", meaning='e.g. "EUR 2026-01 net"'),
    "outcome": Column(kind="string", meaning="what became of it", values=("fit", "scrap")),
})

UNIT_MOVES = Table(name="unit_moves", meaning="where a unit went", key=(), columns={
    "serial": Column(kind="string", meaning="serial of the unit", nullable=False),
    "date": Column(kind="date", meaning="day", nullable=False),
    "from": Column(kind="string", meaning="place it left"),
    "to": Column(kind="string", meaning="place it went to"),
    "state": Column(kind="string", meaning="state there", values=("shelf", "bench", "reconditioning", "scrap", "returned for credit", "lost")),
    "amount": Column(kind="float", meaning="credit due", unit="money of price_basis"),
    "price_basis": Column(kind="string", meaning='e.g. "EUR 2026-01 net"'),
    "due_by": Column(kind="date", meaning="last day for the credit"),
})
