"""Import: read raw/, make the records, write the store; and load them again."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import pandas as pd

from fleetstats.records.account import ImportAccount
from fleetstats.records.build import build_records
from fleetstats.records.fleet import Fleet
from fleetstats.records.inputs import fingerprints
from fleetstats.records.store import read_inputs, read_store, write_store
from fleetstats.results import Fingerprint
from fleetstats.settings import Project
from fleetstats.sources import read_sources

Progress = Callable[[str, int, int], None]
"""Told before each file is read: its name, how many are done, how many there are."""


def import_files(project: Project, progress: Progress | None = None) -> ImportAccount:
    """Read every file of raw/, make the records and write the store in one transaction.

    The store is a function of raw/, profiles, settings, words and the package: when none of them changed, nothing is
    read or written and `changed` is False. A corrected or removed file needs no special case.
    Raises InputRefused (a file does not add up; the old store stands) and StoreBusy.
    """
    inputs = fingerprints(project)
    if read_inputs(project.store) == inputs:
        frames, _ = read_store(project.store)
        return _account(frames["files"], frames["unknown"], len(frames["rejects"]), inputs, project, changed=False)
    total = sum(name.startswith("raw/") for name in inputs)
    records = build_records(read_sources(project, _counting(progress, total)), project.settings)
    write_store(project.store, records.frames, records.unknown, inputs)
    return _account(records.frames["files"], records.unknown, len(records.frames["rejects"]), inputs, project, changed=True)


def load_fleet(project: Project) -> Fleet:
    """The records of the project's store, in memory; no connection is kept.

    Raises InputRefused when nothing was imported or the store has another layout, StoreBusy.
    """
    frames, inputs = read_store(project.store)
    return Fleet(**frames, settings=project.settings, fingerprint=Fingerprint(inputs=inputs, seed=project.settings.seed))


def _counting(progress: Progress | None, total: int) -> Callable[[str], None] | None:
    if progress is None:
        return None
    done = itertools.count()
    return lambda name: progress(name, next(done), total)


def _account(files: pd.DataFrame, unknown: pd.DataFrame, problems: int, inputs: dict[str, str], project: Project, *, changed: bool) -> ImportAccount:
    return ImportAccount(
        files=files, unknown=unknown, problems=problems, changed=changed, inputs=Fingerprint(inputs=inputs, seed=project.settings.seed),
    )
