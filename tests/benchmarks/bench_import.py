"""The whole import against the yardstick of `reference_import`, both as processes of their own, taking turns.

    .venv/bin/python -m tests.benchmarks.bench_import [--visits 1000000] [--rounds 3] [--folder DIR]

Prints the median of import / reference over the rounds (target: at most 3, aim 1.8), the most memory that the import and its workers held together
(target: 2 GiB), and how the time grows from 10,000 visits, start-up subtracted (target: at most 110 times at 1,000,000). Every round imports into a project
without store and without anything kept from the round before.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.benchmarks.harness import report
from tests.benchmarks.million import write_million

PAGE_MIB = os.sysconf("SC_PAGE_SIZE") / 2**20
SMALL = 10_000
KEPT = ("raw", "profiles", "fleetstats.toml")


def import_once(folder: Path) -> tuple[float, float]:
    """Seconds and peak MiB of one import from nothing."""
    for entry in folder.iterdir():
        if entry.name not in KEPT:
            shutil.rmtree(entry) if entry.is_dir() else entry.unlink()
    return _watched([sys.executable, "-c", "from fleetstats.cli import main; main()", "import", "--project", str(folder), "--json"])


def reference_once(folder: Path) -> tuple[float, float]:
    """Seconds and peak MiB of the yardstick."""
    return _watched([sys.executable, "-m", "tests.benchmarks.reference_import", str(folder)])


def _watched(command: list[str]) -> tuple[float, float]:
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    peak = 0.0
    while process.poll() is None:
        peak = max(peak, _resident(process.pid))
        time.sleep(0.02)
    if process.returncode:
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    return time.perf_counter() - start, peak


def _resident(pid: int) -> float:
    """MiB that a process and its descendants hold; pages shared between them are counted for each (Linux)."""
    try:
        own = int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * PAGE_MIB
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except (FileNotFoundError, ProcessLookupError):
        return 0.0
    return own + sum(_resident(int(child)) for child in children)


def start_up() -> float:
    """Seconds that the command takes to say what it can do: the part of an import that does not grow."""
    return min(_watched([sys.executable, "-c", "import fleetstats.records, pyarrow, duckdb, joblib"])[0] for _ in range(3))


def main() -> None:
    """The command line."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--visits", type=int, default=1_000_000)
    asked.add_argument("--rounds", type=int, default=3)
    asked.add_argument("--folder", type=Path, default=None, help="where the files are written, or stand already from an earlier run")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        base = given.folder or Path(scratch)
        folders = {visits: base / str(visits) for visits in (SMALL, given.visits)}
        for visits, folder in folders.items():
            if not (folder / "fleetstats.toml").exists():
                write_million(folder, visits)
        ours, peers = zip(*((import_once(folders[given.visits]), reference_once(folders[given.visits])) for _ in range(given.rounds)), strict=True)
        small = statistics.median(import_once(folders[SMALL])[0] for _ in range(given.rounds))
        begun = start_up()
    large = statistics.median(seconds for seconds, _ in ours)
    ratio = statistics.median(one[0] / other[0] for one, other in zip(ours, peers, strict=True))
    report("import", ratio, 3.0, visits=given.visits, seconds=round(large, 2), reference=round(statistics.median(s for s, _ in peers), 2))
    report("import, peak MiB", max(peak for _, peak in ours), 2048)
    growth = (large - begun) / max(small - begun, 1e-3)
    report(f"import, {given.visits:,} against {SMALL:,}", growth, 110, small_seconds=round(small, 2), start_up=round(begun, 2))


if __name__ == "__main__":
    main()
