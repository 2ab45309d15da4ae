"""One partition for each raw file: read by as many processes as wanted, kept as Parquet, taken up again by the next import."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from fleetstats.errors import InputRefused, Problem
from fleetstats.records.inputs import READING, package_sha256
from fleetstats.records.kept import is_whole, load, save
from fleetstats.settings import Project
from fleetstats.sources import ReadTask, SourceFile, read_one

LAYOUT = 1
"""Number of the layout of a partition; another one is read anew."""
SMALL_BYTES = 16_000_000
"""Less than this is read before other processes have started."""
IDLE_SECONDS = 10
"""A process whose importer was killed ends after this."""


def read_partitions(project: Project, tasks: Sequence[ReadTask], progress: Callable[[str, int, int], None], jobs: int | None = None) -> list[SourceFile]:
    """What every file gave, in order of tasks: from its partition, or read now where there is none that is whole.

    progress: told what is being read, how many files are done, how many there are to read. jobs: processes, None for a number
    that suits the size.
    Raises InputRefused with the problems of every file that was refused, after all others were read and kept.
    """
    folders = {task.file: folder_of(project, task) for task in tasks}
    left = [task for task in tasks if not is_whole(folders[task.file])]
    if left:
        _read(left, folders, progress, jobs)
    progress("joining the records", len(left), len(left))
    return [source for task in tasks for source in load(folders[task.file])]


def keep_only(project: Project, tasks: Iterable[ReadTask]) -> None:
    """Remove every partition but those of the tasks, and what a killed import left unfinished."""
    wanted = {folder_of(project, task).name for task in tasks}
    for path in project.partitions.iterdir() if project.partitions.is_dir() else ():
        if path.name not in wanted:
            shutil.rmtree(path, ignore_errors=True)


def folder_of(project: Project, task: ReadTask) -> Path:
    """Where the partition of a file lies: its name is the fingerprint of all that decides what is in it.

    Of the settings none does: they say how rows are joined, not how they are read.
    """
    parts = (
        LAYOUT, task.file, task.sha256, task.source, task.profile.model_dump_json() if task.profile else None, task.words_sha256,
        hashlib.sha256(task.key).hexdigest(), package_sha256(READING),
    )
    return project.partitions / hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:32]


def _read(tasks: list[ReadTask], folders: dict[str, Path], progress: Callable[[str, int, int], None], jobs: int | None) -> None:
    """Read the files, the largest first, and keep each as it is finished."""
    ordered = sorted(tasks, key=lambda task: (-task.path.stat().st_size, task.file))
    workers = min(len(ordered), _workers(ordered, jobs))
    waiting = [task.file for task in ordered]
    refused: dict[str, tuple[Problem, ...]] = {}
    rows = 0
    progress(_running(waiting, workers, rows), 0, len(ordered))
    for file, found in _finished(ordered, folders, workers):
        waiting.remove(file)
        rows += found if isinstance(found, int) else 0
        refused |= {} if isinstance(found, int) else {file: found}
        if waiting:
            progress(_running(waiting, workers, rows), len(ordered) - len(waiting), len(ordered))
    if refused:
        raise InputRefused(dict.fromkeys(problem for file in sorted(refused) for problem in refused[file]))  # one of words.toml meets every file


def _workers(tasks: Sequence[ReadTask], jobs: int | None) -> int:
    if jobs is not None:
        return max(1, jobs)
    return 1 if sum(task.path.stat().st_size for task in tasks) < SMALL_BYTES else os.cpu_count() or 1


def _running(waiting: Sequence[str], workers: int, rows: int) -> str:
    return f"reading {', '.join(waiting[:workers])}" + (f"; {rows:,} rows so far" if rows else "")


def _finished(tasks: list[ReadTask], folders: dict[str, Path], workers: int) -> Iterator[tuple[str, int | tuple[Problem, ...]]]:
    """Files as they are finished: name, and rows read or why it was refused."""
    if workers == 1:
        yield from (_read_and_keep(task, folders[task.file]) for task in tasks)
        return
    from joblib import Parallel, delayed, parallel_config
    from joblib.externals.loky import get_reusable_executor
    from joblib.externals.loky.process_executor import TerminatedWorkerError

    try:
        with parallel_config(backend="loky", idle_worker_timeout=IDLE_SECONDS, initializer=_leave_interrupts):
            yield from Parallel(n_jobs=workers, batch_size=1, pre_dispatch=workers, return_as="generator_unordered")(
                delayed(_read_and_keep)(task, folders[task.file]) for task in tasks
            )
    except TerminatedWorkerError as error:
        remedy = "What was read is kept: import again, with --jobs 1 if it happens again; one process needs the least memory."
        raise InputRefused(Problem(what="a process that was reading files was ended from outside, most often for want of memory", remedy=remedy)) from error
    finally:
        # their memory is wanted for the joining
        get_reusable_executor().shutdown(wait=True, kill_workers=True)


def _leave_interrupts() -> None:
    """In a reading process: an interrupt from the keyboard is the importer's to answer, who ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _read_and_keep(task: ReadTask, folder: Path) -> tuple[str, int | tuple[Problem, ...]]:
    try:
        sources = read_one(task)
    except InputRefused as refusal:
        return task.file, refusal.problems
    save(sources, folder)
    return task.file, sum(source.rows_read for source in sources)
