"""What became of every row of every file."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd

from fleetstats.records.journal import Journal
from fleetstats.results import Result

CENT = 0.01


@dataclass(frozen=True, kw_only=True)
class ImportAccount(Result):
    """The account of an import.

    files: one row per file, columns of `tables.FILES`; rows_read is the sum of the six fates.
    unknown: texts not recognised, columns of `sources.unknown.UNKNOWN_COLUMNS`, most frequent first.
    amounts: files that this import read other amounts from than the one before: file, basis, before, now.
    changed: False when the inputs were those of the store, and nothing was written.
    cells: how many cells were left empty in rows that were kept; the rows that were refused stand in files. remarks: how much else is to be looked at, of
    rows and files that were kept as they are. The list of all is `Fleet.rejects`. kept_out: what keeps amounts from counting, a text for each reason and file.
    journal: every import so far; `journal.last` is what the last one that changed anything did to each file.
    """

    files: pd.DataFrame
    unknown: pd.DataFrame
    changed: bool
    cells: int
    remarks: int
    amounts: pd.DataFrame = field(repr=False)
    journal: Journal
    kept_out: tuple[str, ...] = ()

    def table(self) -> pd.DataFrame:
        """The files with their fates."""
        return self.files


def amount_changes(before: pd.DataFrame, now: pd.DataFrame) -> pd.DataFrame:
    """Files that were there before and now, and of which other amounts were read: file, basis, before, now. before, now: `tables.MONEY_READ`."""
    both = set(before["file"]) & set(now["file"])
    key = ["file", "basis"]
    sums = [table[table["file"].isin(both)].groupby(key, dropna=False)["read"].sum().rename(name) for name, table in (("before", before), ("now", now))]
    table = pd.concat(sums, axis=1).fillna(0.0).reset_index()
    return table[(table["now"] - table["before"]).abs() >= CENT / 2].sort_values(key, ignore_index=True)


def money_kept_out(rejects: pd.DataFrame) -> tuple[str, ...]:
    """Why amounts do not count, with the file."""
    told = rejects[rejects["scope"].eq("file") & rejects["field"].eq("price_basis").fillna(False)]
    return tuple(f"{row['file']}, {row['what']}" for row in told.to_dict("records"))


def lost_cells(faults: pd.DataFrame) -> int:
    """Cells left empty in rows that were kept, each counted once: those that could not be read, break a rule or name no unit or vehicle for sure. What is told
    of a file or column as a whole is not among them. faults: as `refusals` gives them."""
    return int(faults.loc[faults["scope"].eq("cell"), "times"].sum())


def remarks(faults: pd.DataFrame) -> int:
    """What is told of rows and files from which nothing was taken. faults: as `refusals` gives them."""
    return int(faults.loc[faults["scope"].isin(["remark", "file"]), "times"].sum())


def refusals(rejects: pd.DataFrame) -> pd.DataFrame:
    """Refused rows and cells, and remarks, counted by fault, the most frequent first: file, column, what, scope, times, and the remedy of the first."""
    keys = ["file", "column", "what", "scope"]
    counted = rejects[[*keys, "remedy"]].fillna("").groupby(keys, as_index=False).agg(times=("remedy", "size"), remedy=("remedy", "first"))
    return counted.sort_values(["times", *keys], ascending=[False, True, True, True, True], kind="stable").reset_index(drop=True)
