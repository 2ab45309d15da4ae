"""Reading a delimited file into distinct cells: against pandas' C engine with every cell as text, and against bare pyarrow, by turns in one run.

Run: python tests/benchmarks/bench_read.py
"""

import io

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.csv
from harness import paired_ratio, report

from fleetstats.sources.delimited import read_delimited
from fleetstats.sources.profile import Format

ROWS = 200_000
FAULTS = ("not cooling on gas", "element open", "burner goes out", "smell of ammonia", "fan noisy", "board dead")


def _file() -> bytes:
    draw = np.random.default_rng(7)
    days = pd.DatetimeIndex(np.datetime64("2015-01-01") + draw.integers(0, 3650, ROWS))
    cents = np.exp(draw.normal(5, 1, ROWS)) * 100
    notes = [f"{FAULTS[place]}, box {degrees} F after {hours} h" for place, degrees, hours in zip(
        draw.integers(len(FAULTS), size=ROWS), draw.integers(20, 80, ROWS), draw.integers(1, 49, ROWS), strict=True)]
    return pd.DataFrame({
        "Order": [f"W{number:07d}" for number in range(ROWS)], "Unit": [f"V{number:05d}" for number in draw.integers(0, 20_000, ROWS)],
        "In": days.strftime("%m/%d/%Y"), "Out": (days + pd.to_timedelta(draw.integers(0, 20, ROWS), unit="D")).strftime("%m/%d/%Y"),
        "Work": notes, "Off": draw.integers(10**7, 10**8, ROWS).astype(str), "On": draw.integers(10**7, 10**8, ROWS).astype(str),
        "Hrs": [f"{minutes // 60}:{minutes % 60:02d}" for minutes in draw.integers(15, 700, ROWS)],
        "Parts": [f"${amount / 100:,.2f}" for amount in cents], "Total": [f"${amount / 50:,.2f}" for amount in cents],
        "Tech": [f"T{number:03d}" for number in draw.integers(1, 200, ROWS)], "Pay": np.array(["fleet", "warranty", "renter"])[draw.integers(0, 3, ROWS)],
    }).to_csv(index=False).encode()


DATA = _file()


def _ours() -> object:
    return read_delimited(DATA, "orders.csv", Format())


def _pandas() -> object:
    return pd.read_csv(io.BytesIO(DATA), dtype=str, keep_default_na=False)


def _arrow(*, distinct: bool) -> object:
    names = DATA.split(b"\n", 1)[0].decode().split(",")
    texts = pa.csv.ConvertOptions(column_types={name: pa.string() for name in names})
    table = pa.csv.read_csv(pa.BufferReader(DATA), convert_options=texts)
    return [table.column(name).dictionary_encode() for name in names] if distinct else table


if __name__ == "__main__":
    report("read_delimited / pandas C engine, all text", paired_ratio(_ours, _pandas), 1.0, rows=ROWS, megabytes=round(len(DATA) / 1e6))
    report("read_delimited / pyarrow with distinct values", paired_ratio(_ours, lambda: _arrow(distinct=True)), 1.5)
    report("read_delimited / bare pyarrow", paired_ratio(_ours, lambda: _arrow(distinct=False)), 1.3)
