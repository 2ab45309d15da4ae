"""Write a project of N visits in twelve files with twelve drawn layouts, their profiles and a register: what the speed of an import is measured on.

    .venv/bin/python -m tests.benchmarks.million FOLDER --visits 1000000 [--seed 1]

The files hold as many visits as asked and one copied row in a hundred. The wordings and layouts are those of tests/drawn; half of the notes are copies of
earlier ones, as people copy themselves, the other half are composed anew and carry numbers. The same seed gives the same bytes. From Python:
`write_million(folder, visits, seed=1)`.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import random
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv

from tests.drawn.jobs import FITTED, JOBS, SWAPS, Job
from tests.drawn.layout import PLACES, Layout, draw_layout
from tests.drawn.profile import profile_text
from tests.drawn.wording import Writer, joined

FIRST = dt.date(2015, 3, 1)
EACH = 10
"""Visits of a vehicle, one in every year."""

POOL = 60
"""Ways in which a shop says one thing."""

NOTES = 200
"""Notes per shop and kind of job that are copied again and again."""

COPIES = 0.01
RATE = 95
CENTS = np.array([0, 1250, 1899, 2400, 3900, 5995, 8850, 12900, 19900, 34900, 65000, 89900, 118000, 145050])


def write_million(folder: Path, visits: int, *, seed: int = 1) -> list[str]:
    """Write raw/, profiles/ and fleetstats.toml into `folder`; returns the names of the files of visits."""
    for part in ("raw", "profiles"):
        (folder / part).mkdir(parents=True, exist_ok=True)
    rng = np.random.default_rng(seed)
    facts = _facts(rng, visits)
    _register(folder, facts)
    names = []
    for place, shop in enumerate(PLACES):
        layout = replace(draw_layout(random.Random(f"{seed} {shop}"), shop, {"csv": 1.0}), suffix="", totals=False, titles=0)
        rows = facts[facts["shop"] == place]
        name = f"{layout.stem}.csv"
        _write(folder / "raw" / name, layout, _dressed(layout, rows, seed))
        (folder / "profiles" / f"{layout.stem}.toml").write_text(profile_text(layout, [name]), encoding="utf-8")
        names.append(name)
    settings = 'as_of = 2025-12-31\nfleet = "the drawn fleet"\ncurrency = "USD"\nprice_month = "2025-12"\nseed = 1\nreal_rate = 0.02\n'
    (folder / "fleetstats.toml").write_text(settings, encoding="utf-8")
    return names


def _facts(rng: np.random.Generator, visits: int) -> pd.DataFrame:
    """Visits by vehicle and day: vehicle, shop, job, day in, days in the shop, serials (numbers; -1: none), origin."""
    number = np.arange(visits)
    vehicle, turn = number // EACH, number % EACH
    weights = np.array([job.weight for job in JOBS])
    job = rng.choice(len(JOBS), visits, p=weights / weights.sum())
    exchange = np.isin(job, [place for place, each in enumerate(JOBS) if each.event == "condemned"])
    fitted = np.where(exchange, visits + number, -1)
    frame = pd.DataFrame({"vehicle": vehicle, "shop": vehicle % len(PLACES), "job": job, "day": turn * 365 + rng.integers(0, 330, visits)})
    frame["stay"] = rng.integers(0, 12, visits)
    frame["fitted"] = fitted
    before = pd.Series(fitted).where(exchange).groupby(vehicle).ffill().groupby(vehicle).shift(1)
    frame["removed"] = np.where(exchange, before.fillna(pd.Series(vehicle)), -1).astype(np.int64)
    frame["origin"] = rng.choice(len(FITTED), visits)
    copied = np.sort(rng.choice(visits, int(COPIES * visits), replace=False))
    every = pd.concat([frame, frame.iloc[copied]]).assign(number=np.concatenate([number, copied]))
    return every.sort_values(["day", "number"], kind="stable", ignore_index=True)


def _dressed(layout: Layout, rows: pd.DataFrame, seed: int) -> pa.Table:
    """The cells of one shop's file."""
    cells = _texts(layout, rows, seed) | _plain(rows, layout) | _amounts(layout, rows) | _coded(layout, rows)
    return pa.table({heading: cells[name] for name, heading in layout.headings.items()})


def _plain(rows: pd.DataFrame, layout: Layout) -> dict[str, pa.Array]:
    """Numbers of documents, vehicles and units, and dates."""
    days = [layout.date(FIRST + dt.timedelta(days=day)) for day in range(EACH * 366 + 40)]
    start, out = rows["day"].to_numpy(), (rows["day"] + rows["stay"]).to_numpy()
    return {
        "document": _numbered(rows["number"].to_numpy(), "J", 7), "vehicle_id": _numbered(rows["vehicle"].to_numpy(), "V", 6),
        "complaint_on": _pick(days, np.maximum(start - 2, 0)), "opened_on": _pick(days, start), "date_in": _pick(days, start), "date_out": _pick(days, out),
        "reported_on": _pick(days, out + 5),
        "removed_serial": _numbered(rows["removed"].to_numpy(), "K", 8), "fitted_serial": _numbered(rows["fitted"].to_numpy(), "K", 8),
        "odometer": _numbered((rows["day"] * 31 + rows["vehicle"] % 997).to_numpy(), "", 1),
    }


def _amounts(layout: Layout, rows: pd.DataFrame) -> dict[str, pa.Array]:
    """Money in cents, written by the shop's habits; a copy bears the amounts of its original."""
    parts = CENTS[_of_visit(rows, 7, len(CENTS))]
    tenths = 2 + _of_visit(rows, 11, 40)
    labour, other = tenths * RATE * 10, CENTS[_of_visit(rows, 13, 5)]
    sums = {"parts_cost": parts, "labour_cost": labour, "other_cost": other, "total_cost": parts + labour + (other if "other_cost" in layout.headings else 0)}
    cells = {}
    for name, cents in sums.items():
        distinct, codes = np.unique(cents, return_inverse=True)
        cells[name] = _pick([layout.money(amount / 100) for amount in distinct.tolist()], codes)
    cells["labour_hours"] = _pick([layout.time(tenth) for tenth in range(50)], tenths)
    return cells


def _coded(layout: Layout, rows: pd.DataFrame) -> dict[str, pa.Array]:
    """Columns whose cells are words of the shop's own."""
    taken = (rows["fitted"] >= 0).to_numpy()
    fault = np.where(taken, 0, 1)
    payers, found = ["fleet", "warranty", "renter"], ["in use", "inspection"]
    crew = [f"tech {letter}" for letter in "abcdefgh"]
    return {
        "status": _pick([layout.word("status", "closed")], np.zeros(len(rows), int)),
        "payer": _pick([layout.word("payer", one) for one in payers], _of_visit(rows, 17, 3)),
        "removal_reason": _pick([layout.word("removal_reason", "fault of the unit"), ""], fault),
        "fitted_kind": _pick([layout.word("fitted_kind", "unit"), ""], fault),
        "fitted_origin": _pick([*(layout.word("fitted_origin", one) for one in FITTED), ""], np.where(taken, rows["origin"], len(FITTED))),
        "detection": _pick([layout.word("detection", one) for one in found], _of_visit(rows, 19, 2)), "technician": _pick(crew, _of_visit(rows, 23, len(crew))),
        "contact": _numbered(rows["vehicle"].to_numpy() * 7, "hirer ", 6), "readings_text": _pick([""], np.zeros(len(rows), int)),
    }


def _of_visit(rows: pd.DataFrame, salt: int, size: int) -> np.ndarray:
    """A number below `size` that depends on the visit only, so that a copied row says the same."""
    mixed = (rows["number"].to_numpy().astype(np.uint64) + np.uint64(salt * 1_000_003)) * np.uint64(0x9E3779B97F4A7C15)
    return ((mixed >> np.uint64(33)) % np.uint64(size)).astype(np.int64)


def _texts(layout: Layout, rows: pd.DataFrame, seed: int) -> dict[str, pa.Array]:
    """Complaint, cause and correction, in the columns that the layout has."""
    writer = Writer(layout.region, seed, haste=0.1, slips=0.01)
    key = rows["job"].to_numpy() * len(FITTED) + rows["origin"].to_numpy()
    pools = [_pool(writer, layout, job, origin) for job in JOBS for origin in FITTED]
    fresh = _of_visit(rows, 29, 2) == 1
    copied = _of_visit(rows, 31, NOTES)
    seed_of = np.where(fresh, rows["number"].to_numpy(), key * NOTES + copied)
    said = []
    for part in range(3):
        flat = [text for pool in pools for text in pool[part]]
        choice = _of_visit(pd.DataFrame({"number": seed_of}), 37 + part, POOL)
        said.append(_pick(flat, key * POOL + choice))
    said[1] = _with_numbers(layout, said[1], fresh, _of_visit(rows, 41, 400))
    if layout.style == "three":
        return dict(zip(("complaint_text", "cause_text", "correction_text"), said, strict=True))
    if layout.style == "two":
        return {"complaint_text": said[0], "correction_text": _join(said[1:], layout.cased("; "))}
    marks = (". found: ", ". did: ") if layout.style == "marks" else (", ", ". ")
    marked = pc.binary_join_element_wise(said[0], said[1], layout.cased(marks[0]))
    return {"note": _join([marked, said[2]], layout.cased(marks[1]))}


def _with_numbers(layout: Layout, texts: pa.Array, fresh: np.ndarray, numbers: np.ndarray) -> pa.Array:
    """The texts with a reading behind those written anew."""
    ohms = [layout.cased(f", element {20 + number} ohm") for number in range(400)]
    return pc.binary_join_element_wise(texts, _pick([*ohms, ""], np.where(fresh, numbers, 400)), "")


def _pool(writer: Writer, layout: Layout, job: Job, origin: str) -> tuple[list[str], list[str], list[str]]:
    """POOL complaints, causes and corrections of a job."""
    action = SWAPS[origin] if job.event == "condemned" else job.action
    symptoms = list(job.symptoms)
    complaints, causes, corrections = [], [], []
    for turn in range(POOL):
        told = writer.say("symptoms", symptoms[turn % len(symptoms)])
        filler = writer.say("verbs", "says") if turn % 3 == 0 and layout.region not in ("fr", "de") else ""
        complaints.append(layout.cased(writer.hurried(joined([filler, told], " "))))
        causes.append(layout.cased(writer.hurried(writer.say("findings", job.finding))))
        corrections.append(layout.cased(writer.hurried(joined([writer.say("actions", action), writer.say("after", "ok")], ", "))))
    return complaints, causes, corrections


def _pick(pool: Sequence[str], codes: np.ndarray) -> pa.Array:
    return pa.array(pool, pa.string()).take(pa.array(codes))


def _join(parts: Sequence[pa.Array], mark: str) -> pa.Array:
    return pc.binary_join_element_wise(*parts, mark)


def _numbered(numbers: np.ndarray, letter: str, width: int) -> pa.Array:
    """Identifiers of one letter and a number; nothing for a number below zero."""
    digits = pc.utf8_lpad(pa.array(numbers).cast(pa.string()), width, "0")
    named = pc.binary_join_element_wise(pa.scalar(letter), digits, "")
    return pc.if_else(pa.array(numbers >= 0), named, pa.scalar(""))


def _write(path: Path, layout: Layout, table: pa.Table) -> None:
    sink = pa.BufferOutputStream()
    csv.write_csv(table, sink, csv.WriteOptions(delimiter=layout.delimiter, quoting_style="needed"))
    data = sink.getvalue().to_pybytes()
    path.write_bytes(data if layout.encoding == "utf-8" else data.decode("utf-8").encode(layout.encoding, "replace"))


def _register(folder: Path, facts: pd.DataFrame) -> None:
    """The fleet's register with the first unit of every vehicle, in our own headings."""
    vehicle = np.arange(int(facts["vehicle"].max()) + 1)
    started = _pick([FIRST.isoformat()], np.zeros(len(vehicle), int))
    table = pa.table({
        "vehicle_id": _numbered(vehicle, "V", 6), "built": started, "acquired": started, "in_service": started,
        "refrigerator_size_l": _pick(["95", "150", "230"], vehicle % 3),
        "first_cooling_unit_serial": _numbered(vehicle, "K", 8), "first_origin": _pick(["new"], np.zeros(len(vehicle), int)), "first_unit_made": started,
    })
    csv.write_csv(table, folder / "raw" / "vehicle_register.csv", csv.WriteOptions(quoting_style="needed"))
    columns = "\n".join(f"{json.dumps(name)} = {json.dumps(name)}" for name in table.column_names)
    text = f'files = ["vehicle_register.csv"]\ntable = "vehicles"\n\n[format]\nkind = "csv"\ndate_order = "ymd"\n\n[columns]\n{columns}\n'
    (folder / "profiles" / "register.toml").write_text(text, encoding="utf-8")


def main() -> None:
    """The command line."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("folder", type=Path)
    asked.add_argument("--visits", type=int, default=10_000)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    for name in write_million(given.folder, given.visits, seed=given.seed):
        print(name, (given.folder / "raw" / name).stat().st_size)


if __name__ == "__main__":
    main()
