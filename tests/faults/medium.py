"""A project whose import takes a moment: eight files of visits with our own column names and texts of many wordings."""

import subprocess
import sys
from pathlib import Path

from fleetstats.settings import Project

PROGRAM = "import sys; from fleetstats.cli import main; main(prog_name='fleetstats')"
HEAD = "document,shop,vehicle_id,date_in,date_out,status,complaint_text,total_cost,price_basis\n"
SAID = ("fridge not cooling on gas", "element open, replaced", "no spark at igniter", "yellow stain at the boiler, ammonia smell", "runs fine on mains")
FILES = 8


def write_medium(folder: Path, rows: int = 1500) -> Project:
    """`FILES` files of `rows` visits each."""
    (folder / "raw").mkdir(parents=True)
    (folder / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
    for number in range(FILES):
        write_file(folder / "raw" / f"shop_{number}.csv", f"{number}", rows)
    return Project(folder)


def write_file(path: Path, shop: str, rows: int) -> None:
    """`rows` visits of one shop, each with a text of its own."""
    lines = (
        f"{n},Shop {shop},c{shop}{n % 400},20{10 + n % 15}-0{1 + n % 9}-0{1 + n % 8},20{10 + n % 15}-0{1 + n % 9}-10,closed,"
        f"\"{SAID[n % 5]}, {SAID[n % 3]} at {n} km\",{50 + n % 70},USD 20{10 + n % 15}-0{1 + n % 9} net\n" for n in range(rows)
    )
    path.write_text(HEAD + "".join(lines), encoding="utf-8")


def importing(project: Project, *options: str, **how: object) -> "subprocess.Popen[str]":
    """`fleetstats import --verbose` of the project in a process of its own; what it says stands on its standard error."""
    command = [sys.executable, "-c", PROGRAM, "import", "--project", str(project.folder), "--verbose", *options]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **how)  # type: ignore[call-overload,no-any-return]
