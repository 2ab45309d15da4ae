"""Small projects whose files follow each other quarter by quarter, in our own headings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from fleetstats.settings import Project

HEAD = "document,shop,vehicle_id,date_in,date_out,status,total_cost,price_basis\n"


def visits_text(*numbers: int) -> str:
    """A file of visits, one per number, which is its document, its vehicle and, with half a unit more, its amount."""
    return HEAD + "".join(f"{n},North,c{n},2020-05-01,2020-05-04,closed,{n}.5,USD 2020-05 net\n" for n in numbers)


def write_quarters(folder: Path, files: Mapping[str, Sequence[int]]) -> Project:
    """A project of these files, not imported."""
    (folder / "raw").mkdir()
    (folder / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
    for name, numbers in files.items():
        (folder / "raw" / name).write_text(visits_text(*numbers), encoding="utf-8")
    return Project(folder)
