"""A fleet of one or two vehicles, made by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest

from fleetstats import tables
from fleetstats.histories import Histories, build_histories
from fleetstats.records import Fleet
from fleetstats.settings import Settings

Rows = list[dict[str, Any]]
SHOP = {"shop": "North", "serves": "Hill; Port", "covers_from": "2012-01-01", "covers_to": "2025-12-31"}
VEHICLE = {
    "vehicle_id": "C-1", "built": "2010-01-01", "in_service": "2010-01-01", "depot": "Hill", "climate_zone": "Hot", "refrigerator_size_l": 150.0,
    "first_cooling_unit_serial": "A1", "first_origin": "new",
}


def swap(number: int, day: str, out: str | None, into: str | None, origin: str | None = "new", **more: Any) -> dict[str, Any]:
    """A visit that exchanges the unit within one day, for a fault of the unit unless told otherwise."""
    said = {
        "visit_id": f"v{number}", "vehicle_id": "C-1", "shop": "North", "date_in": day, "date_out": day, "status": "closed", "symptom": "SYM_NOCOOL",
        "removal_reason": "fault of the unit", "removed_serial": out, "fitted_serial": into, "fitted_kind": "unit", "fitted_origin": origin,
    }
    return said | more


@pytest.fixture(scope="session")
def fleet() -> Callable[..., Fleet]:
    """A fleet from rows per table; one vehicle and one shop unless given."""

    def make(**given: Rows) -> Fleet:
        rows = {"vehicles": [VEHICLE], "shops": [SHOP]} | given
        frames = {name: tables.TABLES[name].conform(pd.DataFrame(content)) for name, content in rows.items() if content}
        return Fleet.from_tables(frames, Settings(as_of="2025-12-31"))

    return make


@pytest.fixture(scope="session")
def history(fleet: Callable[..., Fleet]) -> Callable[..., Histories]:
    """Histories of such a fleet."""
    return lambda **given: build_histories(fleet(**given))


@pytest.fixture(scope="session")
def exchange() -> Callable[..., dict[str, Any]]:
    """`swap`."""
    return swap


@pytest.fixture(scope="session")
def vehicle() -> dict[str, Any]:
    """The one vehicle: C-1, built and in service 2010-01-01 at Hill (hot), 150 litres, unit A1, new."""
    return dict(VEHICLE)
