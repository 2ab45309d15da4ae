"""What an import changed, input by input, and the journal of all imports."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from fleetstats import __version__, tables
from fleetstats.records.store import read_store
from fleetstats.settings import Project
from fleetstats.tables.journal import COUNTED

RAW = "raw/"
"""Before the name of a file in the names of inputs."""


@dataclass(frozen=True, kw_only=True)
class Journal:
    """Every import that changed the store. imports, imported: see the tables of these names; imported in order of name within an import."""

    imports: pd.DataFrame = field(repr=False)
    imported: pd.DataFrame = field(repr=False)

    @property
    def number(self) -> int:
        """Number of the last import, 0 before the first."""
        return 0 if self.imports.empty else int(self.imports["number"].max())

    @property
    def last(self) -> pd.DataFrame:
        """What the last import did to every input."""
        return self._of(self.number)

    def since(self, number: int) -> pd.DataFrame:
        """What became of every input from import `number` to the last one, columns as `changes` gives them."""
        return changes(*_as_inputs(self.last), *_as_inputs(self._of(number)))

    def _of(self, number: int) -> pd.DataFrame:
        return self.imported[self.imported["number"].eq(number)].reset_index(drop=True)


def read_journal(project: Project) -> Journal:
    """The journal of a project's store. Raises InputRefused when nothing was imported, StoreBusy."""
    frames, _ = read_store(project.store, ("imports", "imported"))
    return Journal(imports=frames["imports"], imported=frames["imported"])


def entry(number: int, changes: pd.DataFrame, seconds: float) -> dict[str, pd.DataFrame]:
    """The rows of the journal for one import. changes: as `changes` gives them. seconds: how long it took."""
    finished = f"{dt.datetime.now(dt.UTC):%Y-%m-%dT%H:%M:%SZ}"
    row = {"number": number, "finished": finished, "version": __version__, "rows_read": int(changes["rows_read"].fillna(0).sum()), "seconds": round(seconds, 2)}
    return {"imports": tables.IMPORTS.conform(pd.DataFrame([row])), "imported": tables.IMPORTED.conform(changes.assign(number=number))}


def changes(inputs: Mapping[str, str], files: pd.DataFrame, before: Mapping[str, str], files_before: pd.DataFrame) -> pd.DataFrame:
    """What became of every input since the import before, columns of `tables.IMPORTED` without number, in order of name.

    inputs, before: name -> sha256 now and then. files, files_before: the accounts, columns of `tables.FILES`.
    A file that has gone while the same bytes came under a new name is renamed.
    """
    was_named = _renamed(inputs, before)
    names = sorted({*inputs, *before} - {*was_named.values()})
    rows = [_change(name, was_named.get(name, name), inputs, before) for name in names]
    table = pd.DataFrame(rows, columns=["name", "before", "change", "was_named", "sha256_before", "sha256"])
    then = _counts(files_before, table["before"]).add_suffix("_before")
    return pd.concat([table.drop(columns="before"), then, _counts(files, table["name"])], axis=1)


def _as_inputs(imported: pd.DataFrame) -> tuple[dict[str, str], pd.DataFrame]:
    """The inputs of one import and the account of its files, from its rows in the journal."""
    there = imported[imported["sha256"].notna()]
    files = there[there["name"].str.startswith(RAW)]
    return dict(zip(there["name"], there["sha256"], strict=True)), files.assign(file=files["name"].str.removeprefix(RAW))


def _renamed(inputs: Mapping[str, str], before: Mapping[str, str]) -> dict[str, str]:
    """New name -> old name of files of raw/ that only changed their name; each old one is used once."""
    gone: dict[str, list[str]] = {}
    for name in sorted(set(before) - set(inputs)):
        if name.startswith(RAW):
            gone.setdefault(before[name], []).append(name)
    new = [name for name in sorted(set(inputs) - set(before)) if name.startswith(RAW)]
    return {name: gone[inputs[name]].pop(0) for name in new if gone.get(inputs[name])}


def _change(name: str, before_name: str, inputs: Mapping[str, str], before: Mapping[str, str]) -> tuple[str | None, ...]:
    now, then = inputs.get(name), before.get(before_name)
    change = "added" if then is None else "removed" if now is None else "renamed" if name != before_name else "unchanged" if now == then else "corrected"
    return name, before_name, change, before_name if name != before_name else None, then, now


def _counts(files: pd.DataFrame, names: pd.Series) -> pd.DataFrame:
    counts = files.assign(name=RAW + files["file"]).set_index("name")[list(COUNTED)]
    return counts.reindex(names).reset_index(drop=True).astype("Int64")
