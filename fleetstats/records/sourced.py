"""The records of a table with the source each came from: what the quality of a source is counted on."""

from __future__ import annotations

import pandas as pd

from fleetstats.records.fleet import Fleet
from fleetstats.records.plain_tables import record_ids
from fleetstats.tables import INPUT_TABLES

DATED_BY = {"visits": ("date_out", "date_in", "opened_on", "complaint_on"), "bench_tests": ("tested_on", "received_on")}
"""Dates by which a record is placed in time, the first one known."""


def sourced(fleet: Fleet, table: str) -> pd.DataFrame:
    """The records of `table` with `source` (profile or file stem of the row that leads the record) and `day` (missing where the table has no date)."""
    frame: pd.DataFrame = getattr(fleet, table)
    leading = fleet.lineage[(fleet.lineage["table"] == table) & (fleet.lineage["fate"] == "accepted")]
    file = leading.drop_duplicates("record_id").set_index("record_id")["file"]
    source = fleet.files.set_index("file")["source"]
    day = pd.Series(pd.NaT, index=frame.index, dtype="datetime64[s]")
    for name in DATED_BY.get(table, ()):
        day = day.fillna(frame[name])
    return frame.assign(source=record_ids(frame, INPUT_TABLES[table]).map(file).map(source).astype("string"), day=day)
