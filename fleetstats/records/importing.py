"""Import: read raw/, make the records, write the store; and load them again."""

from __future__ import annotations

import time
from collections.abc import Callable

import pandas as pd

from fleetstats.errors import InputRefused
from fleetstats.records.account import ImportAccount, amount_changes, lost_cells, money_kept_out, refusals, remarks
from fleetstats.records.build import build_records
from fleetstats.records.disk import full_disk_told
from fleetstats.records.fleet import Fleet
from fleetstats.records.held import only_importer
from fleetstats.records.inputs import fingerprints
from fleetstats.records.journal import RAW, Journal, changes, entry, read_journal
from fleetstats.records.partitions import keep_only, read_partitions
from fleetstats.records.store import read_inputs, read_store, write_store
from fleetstats.results import Fingerprint
from fleetstats.settings import Project
from fleetstats.sources import read_tasks
from fleetstats.tables import FILES, IMPORTED, IMPORTS, MONEY_READ, Table

Progress = Callable[[str, int, int], None]
"""Told what is being done, how many files are read, and how many there are to read."""


def import_files(project: Project, progress: Progress | None = None, *, jobs: int | None = None) -> ImportAccount:
    """Read what is new in raw/, make the records and write the store in one transaction.

    The store is a function of raw/, profiles, settings, words and the package: when none of them changed, nothing is
    read or written and `changed` is False. A corrected or removed file needs no special case. A file that was read before and
    has not changed is not read again, also after an import that broke off.
    jobs: processes that read; as many as there are cores when left out, one for little. Their number changes no result.
    Raises InputRefused (a file does not add up, the disk is full; the old store stands) and StoreBusy, naming who holds it.
    """
    inputs = fingerprints(project)
    if read_inputs(project.store) == inputs:
        return _stored(project, changed=False)
    with full_disk_told(), only_importer(project.folder) as waited:
        inputs = fingerprints(project) if waited else inputs
        if waited and read_inputs(project.store) == inputs:
            return _stored(project, changed=False)
        amounts = _import(project, inputs, progress or (lambda name, done, total: None), jobs)
    return _stored(project, changed=True, amounts=amounts)


def _import(project: Project, inputs: dict[str, str], progress: Progress, jobs: int | None) -> pd.DataFrame:
    """Writes the store; gives the files of which other amounts were read than before."""
    started = time.monotonic()
    before, inputs_before = _before(project)
    tasks = read_tasks(project, {name.removeprefix(RAW): sha256 for name, sha256 in inputs.items() if name.startswith(RAW)})
    records = build_records(read_partitions(project, tasks, progress, jobs), project.settings)
    progress("writing the store", len(tasks), len(tasks))
    changed = changes(inputs, records.frames["files"], inputs_before, before["files"])
    number = Journal(imports=before["imports"], imported=before["imported"]).number + 1
    write_store(project.store, records.frames, records.unknown, inputs, entry(number, changed, time.monotonic() - started))
    keep_only(project, tasks)
    return amount_changes(before["money_read"], records.frames["money_read"])


def _before(project: Project) -> tuple[dict[str, pd.DataFrame], dict[str, str]]:
    """The account and the journal as they stand, and what they were made from; empty before the first import.

    What the account is only compared with is empty too where another version of the package wrote it with other columns: that stops no import.
    """
    inputs = read_inputs(project.store)
    journal = read_store(project.store, ("imports", "imported"))[0] if inputs else {"imports": IMPORTS.empty(), "imported": IMPORTED.empty()}
    return {"files": _known(project, FILES, inputs), "money_read": _known(project, MONEY_READ, inputs), **journal}, inputs


def _known(project: Project, table: Table, inputs: dict[str, str]) -> pd.DataFrame:
    """A table of the store, empty where there is none with its columns."""
    try:
        return read_store(project.store, (table.name,))[0][table.name] if inputs else table.empty()
    except InputRefused:
        return table.empty()


def _stored(project: Project, *, changed: bool, amounts: pd.DataFrame | None = None) -> ImportAccount:
    frames, inputs = read_store(project.store, ("files", "unknown", "rejects"))
    faults = refusals(frames["rejects"])
    return ImportAccount(
        files=frames["files"], unknown=frames["unknown"], cells=lost_cells(faults), remarks=remarks(faults), changed=changed,
        kept_out=money_kept_out(frames["rejects"]),
        amounts=amount_changes(MONEY_READ.empty(), MONEY_READ.empty()) if amounts is None else amounts,
        journal=read_journal(project), inputs=Fingerprint(inputs=inputs, seed=project.settings.seed),
    )


def load_fleet(project: Project) -> Fleet:
    """The records of the project's store, in memory; no connection is kept.

    Raises InputRefused when nothing was imported or the store has another layout, StoreBusy.
    """
    frames, inputs = read_store(project.store)
    return Fleet(**frames, settings=project.settings, fingerprint=Fingerprint(inputs=inputs, seed=project.settings.seed))
