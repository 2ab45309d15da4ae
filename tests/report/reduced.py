"""Six projects that hold less than the demo, each made from a copy of it: normal first customers."""

import re
import shutil
from pathlib import Path

import pandas as pd
from python_calamine import CalamineWorkbook

import fleetstats
from fleetstats.records import Fleet
from fleetstats.sources import template_workbook
from tests.demo import copy_of, imported_demo

SERIALS = ("removed_serial", "fitted_serial", "serial", "first_cooling_unit_serial")


def no_bench_tests(folder: Path) -> Path:
    """No bench log anywhere."""
    return _without(copy_of(imported_demo(), folder), "*bench*")


def no_serials(folder: Path) -> Path:
    """No file names the serial of a unit: the columns are not mapped, gone from files of our own headings, and there is no list of rebuilt units."""
    _without(copy_of(imported_demo(), folder), "*rebuilds*")
    for profile in (folder / "profiles").glob("*.toml"):
        lines = profile.read_text(encoding="utf-8").splitlines()
        kept = [line for line in lines if not re.search(rf'= *"({"|".join(SERIALS)})"', line)]
        profile.write_text("\n".join(kept) + "\n", encoding="utf-8")
    for file in (folder / "raw").glob("*.csv"):
        head = file.read_bytes().split(b"\n", 1)[0].decode("latin-1").strip().split(",")
        if set(head) & set(SERIALS):
            table = pd.read_csv(file, dtype="string")
            table.drop(columns=[name for name in SERIALS if name in table]).to_csv(file, index=False)
    return folder


def one_year_forty_vehicles(folder: Path) -> Path:
    """The register and the visits of the last year of forty vehicles, in two files of our own headings."""
    fleet = _fleet()
    chosen = fleet.vehicles[fleet.vehicles["out_of_service"].isna()].head(40)
    visits = fleet.visits[fleet.visits["vehicle_id"].isin(chosen["vehicle_id"]) & (fleet.visits["date_in"] >= "2025-01-01")]
    shops = fleet.shops.assign(covers_from=pd.Timestamp("2025-01-01"))
    return _own(folder, {"vehicles": chosen, "visits": visits, "shops": shops})


def no_prices(folder: Path) -> Path:
    """Nothing is said of what an option costs."""
    copy_of(imported_demo(), folder)
    (folder / "prices.toml").unlink()
    return folder


def bench_log_only(folder: Path) -> Path:
    """One bench log, nothing else."""
    copy_of(imported_demo(), folder)
    _without(folder, "[!h]*")
    return _without(folder, "h[!a]*", "harbour_[!b]*")


def one_workbook(folder: Path) -> Path:
    """The template, filled with vehicles, shops and visits, and nothing beside it."""
    fleet = _fleet()
    copy_of(imported_demo(), folder)
    shutil.rmtree(folder / "profiles")
    _without(folder, "*")
    empty = folder / "empty.xlsx"
    template_workbook(empty)
    book = CalamineWorkbook.from_path(str(empty))
    with pd.ExcelWriter(folder / "raw" / "filled.xlsx", engine="xlsxwriter", date_format="yyyy-mm-dd", datetime_format="yyyy-mm-dd") as filled:
        for sheet in book.sheet_names:
            table = getattr(fleet, sheet, None)
            table = table.head(0 if sheet not in ("vehicles", "shops", "visits") else 900) if isinstance(table, pd.DataFrame) else None
            if table is not None:
                table.to_excel(filled, sheet_name=sheet, index=False)
    empty.unlink()
    return folder


REDUCED = {
    "no bench tests": no_bench_tests, "no serials": no_serials, "one year, forty vehicles": one_year_forty_vehicles, "no prices": no_prices,
    "bench log only": bench_log_only, "one workbook": one_workbook,
}


def _fleet() -> Fleet:
    return fleetstats.load_fleet(fleetstats.open_project(imported_demo()))


def _without(folder: Path, *patterns: str) -> Path:
    """The project without the raw files of these patterns, and without profiles that then fit no file."""
    for pattern in patterns:
        for file in (folder / "raw").glob(pattern):
            file.unlink()
    return folder


def _own(folder: Path, tables: dict[str, pd.DataFrame]) -> Path:
    copy_of(imported_demo(), folder)
    shutil.rmtree(folder / "profiles")
    _without(folder, "*")
    for name, table in tables.items():
        table.to_csv(folder / "raw" / f"{name}.csv", index=False, date_format="%Y-%m-%d")
    return folder
