"""`draw_fleet`: a project whose facts, layouts, wordings and diseases are drawn, and what an honest reader should find in it."""

from __future__ import annotations

import csv
import datetime as dt
import random
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from tests.drawn.bench import write_bench
from tests.drawn.diseases import DESK, Plague
from tests.drawn.facts import Vehicle, Visit, simulate
from tests.drawn.files import widths_of, write_rows
from tests.drawn.layout import PLACES, Layout, draw_layout
from tests.drawn.measured import draw_readings
from tests.drawn.profile import profile_text
from tests.drawn.rows import Row, visit_row
from tests.drawn.truth import Truth, truth_of
from tests.drawn.wording import BOOK, Writer

KINDS = {"csv": 5.0, "csv.gz": 1.0, "fixed": 1.0, "xlsx": 2.0, "json": 1.0, "parquet": 1.0}
"""Kinds of files and their weights."""

MIXED = 0.2
OVERLAP = 0.35
MIDDLE = dt.date(2021, 7, 1)
OTHER_WORK = ("VEH_BRAKE", "VEH_TYRE", "VEH_ENGINE", "VEH_WATER", "VEH_CABAIR", "VEH_LAMP", "VEH_COOK", "VEH_BODY")
SETTINGS = 'as_of = 2025-12-31\nfleet = "a drawn fleet"\ncurrency = "USD"\nprice_month = "2025-12"\nseed = 1\nreal_rate = 0.02\n'


def draw_fleet(folder: Path, seed: int, *, vehicles: int = 150, kinds: Mapping[str, float] = KINDS, book: str = BOOK) -> Truth:
    """Write a project (raw/, profiles/, fleetstats.toml) into `folder` and return its truth. The same seed gives the same fleet.

    kinds: kinds of files with their weights. book: the word list the shops write with (see wording.py).
    """
    dice = random.Random(seed)
    for part in ("raw", "profiles"):
        (folder / part).mkdir(parents=True, exist_ok=True)
    (folder / "fleetstats.toml").write_text(SETTINGS, encoding="utf-8")
    shops = dice.sample(list(PLACES), dice.randrange(4, 10))
    layouts = {shop: draw_layout(dice, shop, kinds) for shop in shops}
    layouts[DESK] = _desk(dice, layouts[shops[0]])
    writers = {shop: _writer(dice, layout, book) for shop, layout in layouts.items()}
    fleet, visits = simulate(dice, vehicles, shops)
    mixed = [shop for shop in shops if dice.random() < MIXED]
    for shop in mixed:
        layouts[shop] = _with_group(dice, layouts[shop])
    rows = _rows(dice, layouts, writers, visits, mixed)
    written = [row for shop in layouts for row in _shop(folder, dice, layouts[shop], [row for row in rows if row.shop == shop], mixed, writers[shop])]
    _register(folder, fleet)
    tests = write_bench(folder, dice, visits, layouts[dice.choice(shops)])
    return truth_of(fleet, visits, written, layouts, tests)


def _writer(dice: random.Random, layout: Layout, book: str) -> Writer:
    return Writer(layout.region, dice.randrange(10**9), haste=dice.choice((0, 0.1, 0.3)), slips=dice.choice((0, 0.005, 0.015)), book=book)


def _desk(dice: random.Random, like: Layout) -> Layout:
    """The log of calls at the front desk, in the habits of the first shop."""
    columns = {"opened_on": "Day", "vehicle_id": "Vehicle", "note": "Call", "contact": "Who"}
    return replace(like, shop=DESK, kind="csv", suffix="", headings=columns, style="run on", titles=0, totals=False, encoding="utf-8", hours="decimal")


def _with_group(dice: random.Random, layout: Layout) -> Layout:
    """The layout with a column that names the kind of work."""
    heading = "Kind of work" if layout.region not in ("fr", "de") else "Gruppe"
    place = dice.randrange(len(layout.headings))
    items = list(layout.headings.items())
    return replace(layout, headings=dict([*items[:place], ("item_text", heading), *items[place:]]))


def _rows(dice: random.Random, layouts: Mapping[str, Layout], writers: Mapping[str, Writer], visits: list[Visit], mixed: Sequence[str]) -> list[Row]:
    """The rows of all visits, diseased, with those that repeat them."""
    plague = Plague(dice, layouts, writers)
    rows = []
    for visit in visits:
        layout = layouts[visit.shop]
        draw_readings(dice, visit, layout.region)
        row = visit_row(dice, writers[visit.shop], layout, visit, mixed=visit.shop in mixed)
        plague.infect(row)
        rows.append(row)
    return [*rows, *plague.repeat(rows)]


def _shop(folder: Path, dice: random.Random, layout: Layout, rows: list[Row], mixed: Sequence[str], writer: Writer) -> list[Row]:
    """Write the files and the profile of one shop; returns all rows as written."""
    rows = sorted([*rows, *(_other(dice, layout, writer, rows) if layout.shop in mixed else [])], key=lambda row: (row.sort, row.kind != "estimate"))
    parts = {layout.stem: rows}
    if len(rows) > 20 and layout.kind != "fixed" and dice.random() < OVERLAP:
        until = MIDDLE + dt.timedelta(days=60)
        repeated = [row.again("copy" if row.visit else row.kind) for row in rows if MIDDLE <= row.sort < until]
        late = sorted([*repeated, *(row for row in rows if row.sort >= until)], key=lambda row: row.sort)
        parts = {f"{layout.stem}_early": [row for row in rows if row.sort < until], f"{layout.stem}_late": late}
    names: list[str] = []
    written: list[Row] = []
    for stem, part in parts.items():
        lines = _furnished(dice, layout, _dittoed(dice, layout, part))
        names.append(write_rows(folder / "raw", stem, layout, lines))
        written += lines
    sheets = ("Jobs",) if layout.kind == "xlsx" else ()
    widths = widths_of(layout, written) if layout.kind == "fixed" else []
    text = profile_text(layout, names, mixed=layout.shop in mixed, sheets=sheets, widths=widths)
    (folder / "profiles" / f"{layout.stem}.toml").write_text(text, encoding="utf-8")
    return written


def _dittoed(dice: random.Random, layout: Layout, rows: list[Row]) -> list[Row]:
    """The rows, with a sign in place of what stands in the row above, by the habit of the shop."""
    if not layout.ditto:
        return rows
    above: Row | None = None
    lines = []
    for row in rows:
        line = row
        for name in ("vehicle_id", "technician", "payer"):
            if above is not None and row.cells.get(name) and row.cells.get(name) == above.cells.get(name) and dice.random() < 0.25:
                line = replace(line, cells=line.cells | {name: layout.ditto}, planted=[*line.planted, f"ditto {name}"])
        lines.append(line)
        above = row
    return lines


def _other(dice: random.Random, layout: Layout, writer: Writer, rows: list[Row]) -> list[Row]:
    """Rows of other work on the vehicles, as many as there are about refrigerators."""
    others = []
    for row in rows:
        code = dice.choice(OTHER_WORK)
        text = layout.cased(writer.say("other_work", code))
        names = [name for name in ("note", "correction_text", "complaint_text") if name in layout.headings][:1]
        day = row.sort + dt.timedelta(days=dice.randrange(1, 200))
        cells = {name: row.cells.get(name) for name in ("vehicle_id", "technician", "payer", "labour_hours", "total_cost")}
        cells |= {"document": f"7{row.cells.get('document')}", "opened_on": day, "date_in": day, "date_out": day}
        cells["item_text"] = dice.choice(("Mechanical", "Chassis", "Habitation", "Service"))
        others.append(Row(layout.shop, day, "other work", cells | dict.fromkeys(names, text)))
    return others


def _furnished(dice: random.Random, layout: Layout, rows: list[Row]) -> list[Row]:
    """The rows with totals, blank lines and headings that stand again on a new page, where the shop has such things."""
    if not layout.totals:
        return list(rows)
    lines: list[Row] = []
    pages = dice.random() < 0.5
    for place, row in enumerate(rows, start=1):
        lines.append(row)
        if pages and place % 60 == 0:
            lines.append(Row(layout.shop, row.sort, "furniture", {}, line="headings"))
        if place == len(rows) or rows[place].sort.year != row.sort.year:
            lines.append(Row(layout.shop, row.sort, "furniture", {}, line=f"Total {row.sort.year}"))
            lines += [Row(layout.shop, row.sort, "furniture", {})] if pages and place < len(rows) else []
    return lines


def _register(folder: Path, fleet: list[Vehicle]) -> None:
    """The register with the first unit of every vehicle, and its profile."""
    with (folder / "raw" / "vehicle_register.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(("vehicle_id", "built", "acquired", "in_service", "refrigerator_size_l", "first_cooling_unit_serial", "first_origin", "first_unit_made"))
        for vehicle in fleet:
            day = vehicle.in_service.isoformat()
            table.writerow((vehicle.vehicle_id, day, day, day, vehicle.size, vehicle.first_serial, "new", day))
    names = ("vehicle_id", "built", "acquired", "in_service", "refrigerator_size_l", "first_cooling_unit_serial", "first_origin", "first_unit_made")
    columns = "\n".join(f'"{name}" = "{name}"' for name in names)
    text = f'files = ["vehicle_register.csv"]\ntable = "vehicles"\n\n[format]\nkind = "csv"\ndate_order = "ymd"\n\n[columns]\n{columns}\n'
    (folder / "profiles" / "register.toml").write_text(text, encoding="utf-8")
