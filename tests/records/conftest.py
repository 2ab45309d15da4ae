"""Hand-made files as the sources would give them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest

from fleetstats import tables
from fleetstats.records.build import Records, build_records
from fleetstats.settings import Settings
from fleetstats.sources import SourceFile
from fleetstats.sources.unknown import empty_unknown

Maker = Callable[..., SourceFile]


def make_file(name: str, rows: list[dict[str, Any]], table: str = "visits", *, fates: list[tuple[int, str]] | None = None, **more: Any) -> SourceFile:
    """A file of typed rows; a row is numbered from 2 unless it names its own `row`. Dates as ISO text."""
    columns = tables.TABLES[table].columns
    frame = pd.DataFrame([{"row": number, **row} for number, row in enumerate(rows, start=2)], columns=["row", "sheet", *columns])
    typed = tables.TABLES[table].conform(frame[list(columns)]).assign(file=name, sheet=frame["sheet"].astype("string"), row=frame["row"].astype("Int64"))
    fate = pd.DataFrame([(pd.NA, row, what, "as planted") for row, what in fates or []], columns=["sheet", "row", "fate", "reason"])
    fate = fate.astype({"sheet": "string", "row": "Int64", "fate": "string", "reason": "string"})
    settings = {
        "file": name, "sha256": f"sha of {name}", "source": name.split(".")[0], "table": table, "rows_read": len(typed) + len(fate), "rows": typed,
        "checks": pd.DataFrame(columns=["check", "outcome", "value", "unit", "ambient", "elapsed_hours", "row", "sheet"]),
        "fates": fate, "problems": (), "unknown": empty_unknown(),
    }
    return SourceFile(**settings | more)


@pytest.fixture(scope="session")
def file() -> Maker:
    """`make_file`."""
    return make_file


@pytest.fixture(scope="session")
def build() -> Callable[..., Records]:
    """Records of the files given, with the default windows."""
    return lambda *files: build_records(list(files), Settings(as_of="2025-12-31"))
