"""`write_demo`: the project folder of the invented fleet, anywhere."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from fleetstats.errors import InputRefused, Problem
from fleetstats.settings import DEFAULT_SEED
from fleetstats.synthetic.details import describe
from fleetstats.synthetic.diseases import plant
from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.files import write_files
from fleetstats.synthetic.lives import simulate
from fleetstats.synthetic.rows import visit_row
from fleetstats.synthetic.scenario import read_scenario
from fleetstats.synthetic.truth import truth_of

STATIC = ("fleetstats.toml", "scenario.toml", "README.md", "prices.toml", "calendar.toml", "money.toml", "profiles", "cases")
"""What is copied; raw/ and truth.json are made."""


def project_source() -> Path:
    """The folder of the static files: inside the installed package, or beside it in a checkout."""
    inside = Path(__file__).with_name("project")
    return inside if inside.is_dir() else Path(__file__).resolve().parents[2] / "synthetic_data"


def write_demo(folder: Path, *, seed: int = DEFAULT_SEED, vehicles: int | None = None) -> None:
    """Write the demo project into `folder`: static files copied, raw/ and truth.json made from the seed.

    vehicles: size of the fleet, at least 10; without it that of the scenario. Only profiles whose files were written are of use then.
    Raises InputRefused where fewer vehicles are asked for.
    """
    if vehicles is not None and vehicles < 10:
        raise InputRefused(Problem(what="the demo fleet is too small", found=str(vehicles), wanted="10 vehicles or more", remedy="Ask for more vehicles."))
    folder.mkdir(parents=True, exist_ok=True)
    _copy_static(project_source(), folder)
    write_raw(folder, seed=seed, vehicles=vehicles)


def _copy_static(source: Path, folder: Path) -> None:
    if source.resolve() == folder.resolve():
        return
    for name in STATIC:
        path = source / name
        if path.is_dir():
            shutil.copytree(path, folder / name, dirs_exist_ok=True)
        elif path.is_file():
            shutil.copyfile(path, folder / name)


def write_raw(folder: Path, *, seed: int = DEFAULT_SEED, vehicles: int | None = None) -> None:
    """Make raw/ and truth.json of a project folder whose scenario.toml and profiles are there."""
    (folder / "raw").mkdir(exist_ok=True)
    scenario, stream = read_scenario(folder / "scenario.toml"), Stream(seed)
    world = simulate(scenario, stream, vehicles or scenario.fleet.vehicles)
    visits = sorted((visit for visit in world.visits if world.recorded(visit)), key=lambda visit: (visit.opened, visit.number))
    describe(scenario, stream, visits)
    rows = [visit_row(visit, world.end) for visit in visits]
    for row in rows:
        row.part = str(row.values["shop"])
    lines = write_files(world, stream, folder, plant(scenario, stream, rows))
    text = json.dumps(truth_of(world, seed, visits, lines), ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    (folder / "truth.json").write_text(text + "\n", encoding="utf-8", newline="\n")
