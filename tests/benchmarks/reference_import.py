"""The yardstick of an import: the same files read plainly, distinct cells parsed, shipped phrases found in distinct texts, one group-by; no checks at all.

    .venv/bin/python -m tests.benchmarks.reference_import FOLDER

It keeps no address of a row, refuses nothing, masks nothing, joins no identities, merges nothing and writes no store. What it has in common with the import is
only what nobody can leave out: the bytes are read, and every distinct date, amount, duration and text is turned into what it means, by the shortest code
that does it well.
"""

from __future__ import annotations

import argparse
import datetime as dt
import re
import tomllib
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import pyarrow as pa
from pyarrow import csv

DATES = ("complaint_on", "opened_on", "date_in", "date_out", "reported_on")
MONEY = ("parts_cost", "labour_cost", "other_cost", "total_cost")
TEXTS = ("complaint_text", "cause_text", "correction_text", "item_text", "note")
WORD = re.compile(r"[^\W\d_]+|\d+")

Trie = dict[str, Any]


def reference(folder: Path) -> pa.Table:
    """Spend and visits by shop and year."""
    phrases = _phrases()
    tables = [_read(path, profile, phrases) for profile in _profiles(folder) for path in sorted((folder / "raw").glob(profile["files"][0]))]
    visits = pa.concat_tables(tables, promote_options="default")
    return visits.group_by(["shop", "year"]).aggregate([("total_cost", "sum"), ("codes", "count")])


def _profiles(folder: Path) -> Iterator[dict[str, Any]]:
    for path in sorted((folder / "profiles").glob("*.toml")):
        profile = tomllib.loads(path.read_text(encoding="utf-8"))
        if profile.get("table", "visits") == "visits":
            yield profile


def _read(path: Path, profile: dict[str, Any], phrases: Trie) -> pa.Table:
    layout = profile["format"]
    table = csv.read_csv(path, csv.ReadOptions(encoding=layout["encoding"]), csv.ParseOptions(delimiter=layout["delimiter"], newlines_in_values=False),
                         csv.ConvertOptions(column_types=dict.fromkeys(profile["columns"], pa.string())))
    columns = {name: table[heading].combine_chunks() for heading, name in profile["columns"].items() if heading in table.column_names}
    year_first = layout["date_order"] == "ymd"
    parsed: dict[str, pa.Array] = {}
    for name, cells in columns.items():
        if name in DATES:
            parsed[name] = _distinct(cells, lambda text: _date(text, layout["date_order"], year_first), pa.date32())
        elif name in MONEY:
            parsed[name] = _distinct(cells, lambda text: _amount(text, layout["decimal"]), pa.float64())
        elif name == "labour_hours":
            parsed[name] = _distinct(cells, _hours, pa.float64())
        elif name in TEXTS:
            parsed[f"codes {name}"] = _distinct(cells, lambda text: _codes(text, phrases), pa.string())
        else:
            parsed[name] = cells
    day = next(parsed[name] for name in ("date_in", "opened_on", "date_out") if name in parsed)
    year = _distinct(day, lambda value: value.year if value else None, pa.int32())
    codes = next(parsed[name] for name in parsed if name.startswith("codes "))
    shop = pa.array([profile["constants"]["shop"]]).take(pa.array([0] * len(day)))
    return pa.table({**parsed, "shop": shop, "year": year, "codes": codes})


def _distinct(cells: pa.Array, parse: Callable[[Any], Any], kind: pa.DataType) -> pa.Array:
    coded = cells.dictionary_encode()
    return pa.array([parse(text) for text in coded.dictionary.to_pylist()], kind).take(coded.indices)


def _date(text: str, order: str, year_first: bool) -> dt.date | None:
    numbers = [int(part) for part in re.findall(r"\d+", text)[:3]]
    if len(numbers) < 3:
        return None
    year, month, day = numbers if year_first else (numbers[2], *(numbers[:2] if order == "mdy" else numbers[1::-1]))
    return dt.date(year + 2000 if year < 100 else year, month, day)


def _amount(text: str, decimal: str) -> float | None:
    digits = re.sub(rf"[^\d{re.escape(decimal)}-]", "", text).replace(decimal, ".")
    return float(digits) if digits else None


def _hours(text: str) -> float | None:
    found = re.match(r"(\d+)(?::|h)(\d+)", text)
    if found:
        return int(found[1]) + int(found[2]) / 60
    number = re.match(r"\d*[.,]?\d+", text)
    return float(number[0].replace(",", ".")) / (60 if text.endswith("m") else 1) if number else None


def _phrases() -> Trie:
    trie: Trie = {}
    for entry in resources.files("fleetstats.vocabulary").iterdir():
        if entry.name.endswith(".toml"):
            _add(tomllib.loads(entry.read_text(encoding="utf-8")), trie)
    return trie


def _add(node: Any, trie: Trie, code: str = "") -> None:
    for key, value in node.items() if isinstance(node, dict) else ():
        if key == "phrases":
            for phrase in value:
                place = trie
                for word in WORD.findall(phrase.lower()):
                    place = place.setdefault(word, {})
                place[""] = code
        else:
            _add(value, trie, key)


def _codes(text: str, phrases: Trie) -> str:
    """Codes of the longest phrases from left to right."""
    words, found, start = WORD.findall(text.lower()), [], 0
    while start < len(words):
        place, best, end = phrases, "", start + 1
        for stop in range(start, len(words)):
            if words[stop] not in place:
                break
            place = place[words[stop]]
            if "" in place:
                best, end = place[""], stop + 1
        if best:
            found.append(best)
        start = end
    return " ".join(found)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("folder", type=Path)
    print(reference(asked.parse_args().folder).num_rows, "groups")
