"""An import that is killed, interrupted, loses a worker, finds no room or another importer: nothing half-written, and the next one finishes."""

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd
import psutil
import pytest

from fleetstats.errors import InputRefused, StoreBusy
from fleetstats.records import held, import_files, load_fleet, partitions
from fleetstats.records.kept import is_whole
from fleetstats.records.store import read_store
from fleetstats.settings import Project
from fleetstats.sources import read_tasks
from tests.faults.medium import FILES, importing, write_file, write_medium
from tests.simulation.results import write_table

FATES = ["accepted", "merged", "superseded", "set_aside", "rejected", "furniture"]
ROWS = 60
KILLS = 6
MANY_KILLS = 50


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A medium project, imported; then one more file lies in raw/ and one is corrected."""
    made = write_medium(tmp_path_factory.mktemp("kills") / "project", ROWS)
    import_files(made, jobs=1)
    write_file(made.raw / "shop_new.csv", "new", ROWS)
    write_file(made.raw / "shop_0.csv", "0", ROWS - 10)
    return made.folder


@pytest.fixture
def project(prepared: Path, tmp_path: Path) -> Project:
    """A copy of it."""
    return Project(shutil.copytree(prepared, tmp_path / "project"))


def _state(project: Project) -> tuple[int, list[int]]:
    """Visits rows read by the store's account and number of imports, after checking that the account holds."""
    frames, _ = read_store(project.store, ("files", "imports", "visits"))
    files = frames["files"]
    assert files["rows_read"].tolist() == files[FATES].sum(axis=1).tolist()
    assert int(files["accepted"].sum()) == len(frames["visits"])
    return int(files["rows_read"].sum()), frames["imports"]["number"].tolist()


OLD, NEW = (FILES * ROWS, [1]), (FILES * ROWS + ROWS - 10, [1, 2])


def _taking(project: Project) -> float:
    """Seconds that an import of the changed files takes here and now, start-up included."""
    started = time.monotonic()
    with importing(project, "--jobs", "1") as run:
        assert run.wait() == 0
    return time.monotonic() - started


def _killed_at_random(prepared: Path, tmp_path: Path, kills: int, seed: int) -> pd.DataFrame:
    """Kill the second import that many times, at moments drawn over its whole length; what the store held each time, and what the rerun did."""
    rng = random.Random(seed)
    length = _taking(Project(shutil.copytree(prepared, tmp_path / "whole")))
    found = []
    for number in range(kills):
        project = Project(shutil.copytree(prepared, tmp_path / str(number)))
        share = rng.uniform(0.1, 1.0)
        with importing(project, "--jobs", str(1 + number % 2)) as run:
            time.sleep(share * length)
            run.kill()
            alive = run.wait() == -signal.SIGKILL
        after = _state(project)
        assert after in (OLD, NEW)
        rerun = import_files(project, jobs=1).changed
        assert _state(project) == NEW
        assert not list(project.partitions.glob("*.part"))
        found.append({"share": share, "alive": alive, "held": "old" if after == OLD else "new", "rerun": rerun})
    return pd.DataFrame(found)


def test_a_killed_import_leaves_the_old_or_the_new_records(prepared: Path, tmp_path: Path) -> None:
    """Killed (SIGKILL) at moments drawn over its whole length: the store opens, holds the old or the new state, the account holds, a rerun finishes."""
    found = _killed_at_random(prepared, tmp_path, KILLS, 1)
    assert (found["rerun"] == (found["held"] == "old")).all()


@pytest.mark.slow
def test_fifty_kills(prepared: Path, tmp_path: Path) -> None:
    """The same fifty times; the counts go to RESULTS.md."""
    found = _killed_at_random(prepared, tmp_path, MANY_KILLS, 2)
    assert len(found) == MANY_KILLS
    quarter = pd.cut(found["share"], [0, 0.25, 0.5, 0.75, 1.0], labels=["first", "second", "third", "last"])
    counts = {"kills": 1, "alive": found["alive"], "old": found["held"].eq("old"), "new": found["held"].eq("new"), "rerun finished": 1}
    table = pd.DataFrame(counts, index=found.index).astype(int).groupby(quarter, observed=False).sum()
    write_table("kills", table.reset_index(names="quarter of the import"))


@pytest.mark.parametrize("moment", ["(0 of 2)", "(1 of 2)", "joining"])
def test_ctrl_c_ends_within_a_second(project: Project, moment: str) -> None:
    """Interrupted from the keyboard (every process of the terminal gets the signal): exit code 130, one sentence, no unfinished partition; a rerun resumes."""
    with importing(project, "--jobs", "2", start_new_session=True) as run:
        assert run.stderr is not None
        assert any(moment in line for line in iter(run.stderr.readline, ""))
        started = time.monotonic()
        os.killpg(run.pid, signal.SIGINT)
        said = run.stderr.read()
        code = run.wait(20)
        took = time.monotonic() - started
    # the reading processes are interrupted as well and may have their say behind ours
    assert (code, "Interrupted; nothing is left half-written." in said.splitlines()) == (130, True), said
    assert took < 5.0  # under a second on a machine that does nothing else
    assert _state(project) in (OLD, NEW)
    assert not list(project.partitions.glob("*.part"))
    import_files(project, jobs=1)
    assert _state(project) == NEW


def _workers(pid: int) -> list[int]:
    return [child.pid for child in psutil.Process(pid).children() if any("popen_loky" in word for word in child.cmdline())]


def test_a_killed_worker_is_told_and_what_is_finished_stays(tmp_path: Path) -> None:
    """One of two reading processes is ended from outside: exit code 3 and a sentence, finished files are kept, the next import reads only the rest."""
    project = write_medium(tmp_path / "project", 800)
    with importing(project, "--jobs", "2") as run:
        assert run.stderr is not None
        assert any(f"(2 of {FILES})" in line for line in iter(run.stderr.readline, ""))
        victims = _workers(run.pid)
        assert len(victims) == 2
        os.kill(victims[0], signal.SIGKILL)
        rest = run.stderr.read()
        assert run.wait(30) == 3, rest
    assert "ended from outside" in rest
    assert "--jobs 1" in rest
    kept = sum(is_whole(partitions.folder_of(project, task)) for task in read_tasks(project))
    assert 2 <= kept < FILES
    assert not project.store.exists()
    told: list[tuple[str, int, int]] = []
    import_files(project, lambda *step: told.append(step), jobs=1)
    assert told[0][2] == FILES - kept


def _small_files(limit: int) -> Callable[[], None]:
    import resource

    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))


@pytest.mark.parametrize("limit", [4_096, 40_000, 600_000])
def test_no_room_is_told_and_the_old_records_stand(project: Project, limit: int) -> None:
    """Files may grow to `limit` bytes only, which stops a partition or the store: exit code 3, what to do, the old records; with room it finishes."""
    write_file(project.raw / "shop_large.csv", "large", 4_000)
    with importing(project, "--jobs", "1", preexec_fn=_small_files(limit)) as run:
        _, said = run.communicate(timeout=60)
    assert run.returncode == 3, said
    assert "no room left on the disk" in said
    assert "Free some space" in said
    assert _state(project) == OLD
    assert not list(project.partitions.glob("*.part"))
    import_files(project, jobs=1)
    assert _state(project)[1] == [1, 2]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 8 MB in memory, where mounting is allowed."""
    folder = tmp_path / "disk"
    folder.mkdir()
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs", str(folder)], capture_output=True, check=False).returncode:
        pytest.skip("mounting is not allowed here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_is_told_and_the_old_records_stand(small_disk: Path) -> None:
    """A real disk of 8 MB that the second import fills: told, the old records stand and can be read, with room made the import finishes."""
    project = write_medium(small_disk / "project", ROWS)
    import_files(project, jobs=1)
    ballast = small_disk / "ballast"
    free = os.statvfs(small_disk)
    ballast.write_bytes(b"x" * (free.f_bavail * free.f_frsize - 450_000))
    write_file(project.raw / "shop_0.csv", "0", 2000)
    with pytest.raises(InputRefused, match="no room left on the disk"):
        import_files(project, jobs=1)
    assert _state(project) == OLD
    assert len(load_fleet(project).visits) > 0
    ballast.unlink()
    import_files(project, jobs=1)
    assert _state(project) == (FILES * ROWS + 2000 - ROWS, [1, 2])


HOLDS = """
import sys, time
from pathlib import Path
from fleetstats.records.held import only_importer
with only_importer(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(60)
"""


def test_a_second_importer_is_told_who_holds_the_project(project: Project, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another process imports: after a bounded time its number and command are named; once it is killed its lock is stale and nobody waits."""
    monkeypatch.setattr(held, "WAIT_SECONDS", 0.3)
    with subprocess.Popen([sys.executable, "-c", HOLDS, str(project.folder)], stdout=subprocess.PIPE, text=True) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        with pytest.raises(StoreBusy, match=rf"process {holder.pid}, python .*, since \d{{4}}-.*Wait until it has ended"):
            import_files(project)
        assert _state(project) == OLD
        holder.kill()
    assert held.holder(project.folder) is None
    import_files(project, jobs=1)
    assert _state(project) == NEW


def test_two_importers_at_once_end_with_one_import(project: Project) -> None:
    """Both are started together: the second waits for the first, finds its work done, and says that nothing has changed."""
    with importing(project, "--jobs", "1") as first, importing(project, "--jobs", "1") as second:
        runs = (first, second)
        said = [run.communicate(timeout=60)[1] for run in runs]
    assert [run.returncode for run in runs] == [0, 0]
    assert sum("Nothing has changed" in text for text in said) == 1
    assert _state(project) == NEW
