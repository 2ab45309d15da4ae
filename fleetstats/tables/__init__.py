"""The declared columns of every canonical table: one declaration for checks, dictionary, template, SQL and empty frames."""

from fleetstats.tables.bench import BENCH_TESTS, RECONDITIONINGS, UNIT_MOVES
from fleetstats.tables.column import Column, Table
from fleetstats.tables.fleet import ASSIGNMENTS, CALENDAR, SHOPS, SIGHTINGS, VEHICLES
from fleetstats.tables.journal import IMPORTED, IMPORTS
from fleetstats.tables.ledger import FILES, IDENTITIES, LINEAGE, MONEY_READ, REJECTS
from fleetstats.tables.lives import COMPONENT_EVENTS, EXPOSURE, TENURES
from fleetstats.tables.work import CASES, CHECKS, PAYMENTS, VISITS

INPUT_TABLES: dict[str, Table] = {
    table.name: table
    for table in (VEHICLES, SHOPS, ASSIGNMENTS, VISITS, CHECKS, BENCH_TESTS, RECONDITIONINGS, UNIT_MOVES, SIGHTINGS, CASES)
}
"""Tables that users' files fill; the template workbook has one sheet for each."""

TABLES: dict[str, Table] = INPUT_TABLES | {
    table.name: table for table in (CALENDAR, PAYMENTS, MONEY_READ, FILES, REJECTS, LINEAGE, IDENTITIES, IMPORTS, IMPORTED, TENURES, COMPONENT_EVENTS, EXPOSURE)
}
"""Every canonical table by name."""

__all__ = [
    "ASSIGNMENTS", "BENCH_TESTS", "CALENDAR", "CASES", "CHECKS", "COMPONENT_EVENTS", "EXPOSURE", "FILES", "IDENTITIES", "IMPORTED", "IMPORTS",
    "INPUT_TABLES", "LINEAGE", "MONEY_READ", "PAYMENTS", "RECONDITIONINGS", "REJECTS", "SHOPS", "SIGHTINGS", "TABLES", "TENURES", "UNIT_MOVES", "VEHICLES", "VISITS",
    "Column", "Table",
]
