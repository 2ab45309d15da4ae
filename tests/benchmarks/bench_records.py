"""Merging: neighbours in time against DuckDB's window, exact copies against pandas' duplicated, by turns in one run.

Run: python tests/benchmarks/bench_records.py
"""

import duckdb
import numpy as np
import pandas as pd
from harness import paired_ratio, report

from fleetstats.records.facts import facts_of
from fleetstats.records.merging import MAY_DIFFER, repetitions
from fleetstats.records.packed import codes, day_numbers, order_of
from fleetstats.tables import VISITS

ROWS, VEHICLES, DAYS = 1_000_000, 40_000, 14
COPIES = 0.04


def drawn(seed: int = 20260101) -> pd.DataFrame:
    """Visits of ten years, 4 in 100 of them copies."""
    rng = np.random.default_rng(seed)
    vehicles = np.array([f"C-{i:06d}" for i in range(VEHICLES)], dtype=object)
    opened = np.datetime64("2015-01-01") + rng.integers(0, 3650, ROWS)
    rows = pd.DataFrame({
        "vehicle_id": vehicles[rng.integers(0, VEHICLES, ROWS)], "shop": "North", "document": [f"R-{i}" for i in range(ROWS)], "opened_on": opened,
        "date_out": opened + rng.integers(0, 6, ROWS), "status": "closed", "total_cost": np.round(rng.gamma(2, 100, ROWS), 2),
        "note": [f"not cooling, case {i % 50_000}" for i in range(ROWS)],
    })
    again = rng.integers(0, ROWS, int(COPIES * ROWS))
    rows.iloc[rng.choice(ROWS, len(again), replace=False)] = rows.iloc[again].to_numpy()
    address = {name: pd.array(["a"] * ROWS, dtype="string") for name in ("file", "sheet", "sha256", "source", "reason")}
    return VISITS.conform(rows).assign(**address, row=pd.array(range(ROWS), dtype="Int64"), at=np.arange(ROWS))


def near(vehicle: np.ndarray, day: np.ndarray) -> np.ndarray:
    """True for rows within DAYS of the one before of their vehicle, codes at hand: one sort of a packed key."""
    order = order_of(vehicle, day)
    found = np.zeros(len(order), dtype=bool)
    found[order[1:]] = (np.diff(vehicle[order]) == 0) & (np.diff(day[order]) <= DAYS)
    return found


def near_by_window(connection: duckdb.DuckDBPyConnection) -> int:
    """The same by a window on one thread, counted."""
    lag = "day - lag(day) OVER (PARTITION BY vehicle ORDER BY day)"
    return int(connection.execute(f"SELECT count(*) FROM (SELECT {lag} AS gap FROM rows) WHERE gap <= {DAYS}").fetchall()[0][0])


if __name__ == "__main__":
    visits = drawn()
    vehicle, day = codes(visits["vehicle_id"]), day_numbers(visits["opened_on"])
    connection = duckdb.connect(config={"threads": 1})
    connection.register("arrived", pd.DataFrame({"vehicle": vehicle, "day": day}))
    connection.execute("CREATE TABLE rows AS SELECT * FROM arrived")
    if near(vehicle, day).sum() != near_by_window(connection):
        raise SystemExit("the two disagree on who is near")
    ratio = paired_ratio(lambda: near(vehicle, day), lambda: near_by_window(connection), rounds=5)
    report("rows within 14 days of the one before / DuckDB's window, one thread", ratio, 1.0, rows=ROWS)
    said = visits.drop(columns=MAY_DIFFER)
    if (repetitions(visits, facts_of(visits))[1] != "").sum() != said.duplicated().sum():
        raise SystemExit("the two disagree on what is a copy")
    ratio = paired_ratio(lambda: repetitions(visits, facts_of(visits)), said.duplicated, rounds=3)
    report("exact copies / pandas duplicated", ratio, 1.0, rows=ROWS, columns=said.shape[1])
