"""From visits to the files in raw/: which lines stand where, what the shops add, and the writing."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

from fleetstats.synthetic.coded import VISIT_COLUMNS, code
from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.layout import Layout, read_layout
from fleetstats.synthetic.otherwork import other_rows
from fleetstats.synthetic.rows import Row
from fleetstats.synthetic.seasons import date, day
from fleetstats.synthetic.tables_out import bench_rows, rebuild_rows, register_rows, shop_rows, sighting_rows
from fleetstats.synthetic.world import World
from fleetstats.synthetic.writers.delimited import write_delimited
from fleetstats.synthetic.writers.workbook import write_workbook

BENCH_FILES = {"Harbour bench": "harbour_bench", "Millpond bench": "millpond_bench", "Redfield bench": "redfield_bench"}
BENCH_COLUMNS = (
    "bench_test_id", "serial", "received_on", "received_from", "sender_item", "sender_symptom", "vehicle_id", "size_l", "tested_on", "reported_on",
    "as_received",
    "outcome", "mode", "hours", "bench", "why_tested", "blind",
)
CUT = dt.date(2020, 7, 1)
"""From this day on a second export of two shops holds what the first one holds too."""

MILLPOND_TITLES = ("Millpond workshop, job list", "Printed for head office, all jobs about fridges", "", "Amounts in GBP without VAT")


def write_files(world: World, stream: Stream, project: Path, rows: list[Row]) -> list[Row]:
    """Write every file of raw/ and return all lines, each with its address."""
    shops: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        shops[row.part].append(row)
    writer = _Writer(world, stream, project)
    writer.us(shops)
    writer.uk(shops)
    writer.south(shops)
    writer.canada(shops)
    writer.fleet({row.visit.number for row in rows if row.visit})
    return writer.lines


class _Writer:
    """Writes into raw/ and remembers every line."""

    def __init__(self, world: World, stream: Stream, project: Path) -> None:
        self.world, self.stream, self.project, self.raw = world, stream, project, project / "raw"
        self.lines: list[Row] = []

    def layout(self, name: str) -> Layout:
        return read_layout(self.project, name)

    def csv(self, file: str, layout: Layout, rows: list[Row], *, quoting: str = "minimal", extra: tuple[str, ...] = ()) -> None:
        write_delimited(self.raw / file, layout, rows, quoting=quoting, extra=extra)
        self.lines += rows

    def book(self, file: str, layout: Layout, sheets: dict[str, list[Row]], titles: dict[str, tuple[str, ...]]) -> None:
        write_workbook(self.raw / file, layout, sheets, titles)
        for name, rows in sheets.items():
            for number in range(1, len(titles[name]) + 1):
                self.lines.append(Row({}, None, "furniture", number=number, sheet=name, file=file))
            self.lines += rows

    def us(self, shops: dict[str, list[Row]]) -> None:
        harbour = shops["Harbour workshop"]
        for row in harbour:
            row.values["Odometer"] = 4000 + self.stream.whole(0, 90000)
        corrections = _corrections(self.world, self.stream, harbour)
        self.csv("harbour_orders.csv", self.layout("harbour"), harbour, quoting="all", extra=("Odometer",))
        self.csv("harbour_corrections.csv", self.layout("harbour_corrections"), corrections)
        for row in shops["Plateau workshop"]:
            _one_text(row, "complaint_text", "c: ", ". found: ", ". did: ")
        for row in shops["Roadside van"]:
            _one_text(row, "correction_text", "", "", "; ", start="cause_text")
        self.periods("plateau", "tsv", shops["Plateau workshop"], "Total")
        self.periods("roadside", "csv", shops["Roadside van"], None)

    def periods(self, name: str, suffix: str, rows: list[Row], total: str | None) -> None:
        """Two exports of one shop whose periods overlap."""
        cut = day(CUT)
        until = cut + self.world.scenario.diseases.overlap_days
        early, late = [row for row in rows if row.sort < until], [row for row in rows if row.sort >= until]
        overlap = [_duplicate(row) for row in early if row.sort >= cut]
        for years, part in (("2015_2020", early), ("2020_2025", sorted([*overlap, *late], key=lambda row: row.sort))):
            self.csv(f"{name}_{years}.{suffix}", self.layout(name), with_totals(part, total) if total else part)

    def uk(self, shops: dict[str, list[Row]]) -> None:
        jobs = with_totals(shops["Millpond workshop"], "Total", blank=True)
        self.book("millpond_jobs.xlsx", self.layout("millpond"), {"Jobs": jobs}, {"Jobs": MILLPOND_TITLES})
        canal = shops["Canal vehicle workshop"]
        for row in canal:
            _one_text(row, "complaint_text", "", ", ", ", ")
            text = str(row.values["complaint_text"])
            row.values["complaint_text"] = text if "fridge" in text else f"fridge: {text}"
            row.values["item_text"] = self.stream.pick(("Habitation", "Habitation", "Appliances"))
        mixed = sorted([*canal, *other_rows(self.world, self.stream, len(canal))], key=lambda row: row.sort)
        self.csv("canal_export.csv", self.layout("canal"), with_pages(mixed))

    def south(self, shops: dict[str, list[Row]]) -> None:
        sheets: dict[str, list[Row]] = {"Redfield yard": [], "Lakeside yard": []}
        for row in shops["Redfield workshop"]:
            home = "Lakeside yard" if row.visit and row.visit.vehicle.depot.name == "Lakeside" else "Redfield yard"
            sheets[home].append(row)
            if not row.diseases and self.stream.chance(2 * self.world.scenario.diseases.duplicate_within):
                sheets["Redfield yard" if home == "Lakeside yard" else "Lakeside yard"].append(_duplicate(row))
        closed = {name: [*sorted(rows, key=lambda row: row.sort), _furniture(f"Total {name}")] for name, rows in sheets.items()}
        titles: dict[str, tuple[str, ...]] = {"Redfield yard": ("Redfield workshop, labour in minutes",), "Lakeside yard": ("Yard at Lakeside",)}
        self.book("redfield_jobs.xlsx", self.layout("redfield"), closed, titles)
        for row in shops["Lakeside workshop"]:
            _one_text(row, "correction_text", "", "", "; ", start="cause_text")
        self.csv("lakeside_jobs.csv", self.layout("lakeside"), shops["Lakeside workshop"])

    def canada(self, shops: dict[str, list[Row]]) -> None:
        self.csv("atelier_factures.csv", self.layout("atelier"), with_totals(shops["Atelier Portage"], "Sous-total", blank=True))
        for row in shops["Hilltop workshop"]:
            code(row)
        self.own("hilltop_visits.csv", "visits", VISIT_COLUMNS, shops["Hilltop workshop"])

    def own(self, file: str, table: str, columns: tuple[str, ...], rows: list[Row]) -> None:
        """A file with our own column names."""
        bare = {"kind": "csv", "thousands": ""}
        self.csv(file, Layout(table, {"table": table, "columns": {name: name for name in columns}, "format": bare, "money": {"currency": "GBP"}}), rows)

    def fleet(self, recorded: set[int]) -> None:
        self.csv("vehicle_register.csv", self.layout("register"), register_rows(self.world))
        for bench, rows in bench_rows(self.world, self.stream, recorded).items():
            if bench in BENCH_FILES:
                self.csv(f"{BENCH_FILES[bench]}.csv", self.layout(BENCH_FILES[bench]), rows)
            else:
                self.own("hilltop_bench_tests.csv", "bench_tests", BENCH_COLUMNS, rows)
        tables: list[tuple[str, str, Callable[[World], list[Row]]]] = [
            ("harbour_rebuilds.csv", "reconditionings", rebuild_rows), ("sightings.csv", "sightings", sighting_rows), ("shops.csv", "shops", shop_rows)]
        for file, table, make in tables:
            rows = make(self.world)
            if rows:
                self.own(file, table, tuple(rows[0].values), rows)


def _duplicate(row: Row) -> Row:
    again = row.copy()
    again.fate = "merged" if row.event else row.fate
    again.plant("duplicate_across", fate=again.fate, event=row.event)
    return again


def _one_text(row: Row, target: str, *marks: str, start: str = "complaint_text") -> None:
    """Run the texts from `start` on together into one, as the shop has only one field for them."""
    names = ("complaint_text", "cause_text", "correction_text")
    parts = [(mark, str(row.values.get(name) or "")) for mark, name in zip(marks, names, strict=True) if names.index(name) >= names.index(start)]
    row.values[target] = "".join(f"{mark if place else marks[0]}{text}" for place, (mark, text) in enumerate(part for part in parts if part[1]))


def _corrections(world: World, stream: Stream, rows: list[Row]) -> list[Row]:
    """Lines handed in again because an amount was wrong; the first version is spoiled and will be superseded."""
    fixed = []
    for row in rows:
        if row.diseases or row.visit is None or row.values["status"] != "closed" or not stream.chance(world.scenario.diseases.corrected):
            continue
        right = row.copy()
        right.plant("correction", fate="accepted", event=row.event, total_cost=row.values["total_cost"])
        wrong = round(row.amount("total_cost") * 10, 2)
        row.values |= {"total_cost": wrong, "parts_cost": round(wrong - row.amount("labour_cost") - row.amount("other_cost"), 2)}
        row.fate = "superseded"
        row.plant("corrected", fate="superseded", event=row.event)
        fixed.append(right)
    return fixed


def _furniture(line: str) -> Row:
    row = Row({"line": line}, None, "furniture")
    if line:
        row.plant("total_as_row", fate="furniture")
    return row


def with_totals(rows: list[Row], word: str, *, blank: bool = False) -> list[Row]:
    """The lines with a total after every year, and a blank line between years where asked."""
    lines: list[Row] = []
    for place, row in enumerate(rows):
        lines.append(row)
        year = date(row.sort).year
        last = place + 1 == len(rows)
        if last or date(rows[place + 1].sort).year != year:
            lines += [_furniture(f"{word} {year}"), *([_furniture("")] if blank and not last else [])]
    return lines


def with_pages(rows: list[Row]) -> list[Row]:
    """The lines with a page mark after every 400, and a total at the end."""
    lines: list[Row] = []
    for place, row in enumerate(rows, start=1):
        lines += [row, *([_furniture(f"Page {place // 400}")] if place % 400 == 0 else [])]
    return [*lines, _furniture("TOTAL all jobs")]
