"""The log of a bench that ran some of the removed units, and its profile."""

from __future__ import annotations

import csv
import datetime as dt
import random
from collections.abc import Mapping
from pathlib import Path

import pandas as pd

from tests.drawn.facts import Visit
from tests.drawn.files import spelled
from tests.drawn.layout import Layout

TESTED = 0.35
OUTCOMES = {
    "fault confirmed": ("BAD", "faulty", "fails"), "no fault found": ("RUNS OK", "good", "cools"),
    "restarted": ("ran after turning", "restarted", "woke up"), "inconclusive": ("UNCLEAR", "not clear", "?"),
}
HEADINGS = {
    "bench_test_id": ("Bench no", "Test", "No."), "serial": ("Serial", "S/N", "Unit"),
    "received_on": ("Received", "In", "Date rec'd"), "tested_on": ("Tested", "Run on", "Date"),
    "vehicle_id": ("From vehicle", "Fleet no", "Van"),
    "outcome": ("Result", "Verdict", "Outcome"), "hours": ("Run hrs", "Hours", "h"),
}


def write_bench(folder: Path, dice: random.Random, visits: list[Visit], like: Layout) -> pd.DataFrame:
    """Write bench_log.csv and its profile in the habits of a layout; returns number of the test, event that removed the
    unit, outcome, serial, and whether the log names the vehicle."""
    names = {name: dice.choice(options) for name, options in HEADINGS.items() if name != "vehicle_id" or dice.random() < 0.5}
    words = {outcome: dice.choice(options) for outcome, options in OUTCOMES.items()}
    tests = []
    with (folder / "raw" / "bench_log.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, delimiter=like.delimiter, lineterminator="\n")
        table.writerow(names.values())
        for visit in visits:
            if visit.event != "condemned" or dice.random() > TESTED:
                continue
            number, outcome = f"B{1000 + len(tests)}", dice.choice(tuple(OUTCOMES))
            day = visit.date_out + dt.timedelta(days=dice.randrange(3, 40))
            cells = {"bench_test_id": number, "serial": spelled(str(visit.removed), like.serial), "received_on": like.date(day),
                     "tested_on": like.date(day + dt.timedelta(days=3)), "vehicle_id": spelled(visit.vehicle.vehicle_id, like.vehicle),
                     "outcome": words[outcome], "hours": "24"}
            table.writerow([cells[name] for name in names])
            tests.append({"test": number, "event": visit.number, "outcome": outcome, "serial": visit.removed, "names_vehicle": "vehicle_id" in names})
    _profile(folder / "profiles" / "bench_log.toml", like, names, words)
    return pd.DataFrame(tests, columns=["test", "event", "outcome", "serial", "names_vehicle"])


def _profile(path: Path, like: Layout, names: Mapping[str, str], words: Mapping[str, str]) -> None:
    delimiter = "\\t" if like.delimiter == "\t" else like.delimiter
    lines = ['files = ["bench_log.csv"]', 'table = "bench_tests"', "", "[format]", 'kind = "csv"']
    lines += [f'delimiter = "{delimiter}"', f'date_order = "{like.date_order}"']
    lines += ["", "[columns]", *(f'"{heading}" = "{name}"' for name, heading in names.items()), "", "[constants]", 'bench = "The bench"']
    path.write_text("\n".join([*lines, "", "[values.outcome]", *(f'"{word}" = "{outcome}"' for outcome, word in words.items()), ""]), encoding="utf-8")
