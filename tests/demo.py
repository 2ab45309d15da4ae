"""The demo project, written and imported once for each process that tests with it."""

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

import fleetstats
from fleetstats.synthetic import write_demo


@cache
def imported_demo(vehicles: int | None = None) -> Path:
    """Folder of the demo (as shipped, or with fewer vehicles), files imported. Tests only read it; they change a `copy_of` it."""
    folder = Path(tempfile.mkdtemp(prefix="fleetstats-demo-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    write_demo(folder, vehicles=vehicles)
    fleetstats.import_files(fleetstats.open_project(folder))
    return folder


def copy_of(folder: Path, target: Path) -> Path:
    """A copy of a project without its store, its reports and what was kept of its files."""
    shutil.copytree(folder, target, ignore=shutil.ignore_patterns("store.duckdb*", ".partitions", "out"))
    return target
