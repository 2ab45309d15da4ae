"""What became of every row of every file."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from fleetstats.records.journal import Journal
from fleetstats.results import Result


@dataclass(frozen=True, kw_only=True)
class ImportAccount(Result):
    """The account of an import.

    files: one row per file, columns of `tables.FILES`; rows_read is the sum of the six fates.
    unknown: texts not recognised, columns of `sources.unknown.UNKNOWN_COLUMNS`, most frequent first.
    changed: False when the inputs were those of the store, and nothing was written.
    cells: how many values were left empty in rows that were kept; the rows that were refused stand in files. The list of both is `Fleet.rejects`.
    journal: every import so far; `journal.last` is what the last one that changed anything did to each file.
    """

    files: pd.DataFrame
    unknown: pd.DataFrame
    changed: bool
    cells: int
    journal: Journal

    def table(self) -> pd.DataFrame:
        """The files with their fates."""
        return self.files


def lost_cells(faults: pd.DataFrame) -> int:
    """Values left empty in rows that were kept. faults: as `refusals` gives them."""
    return int(faults.loc[faults["scope"].eq("cell"), "times"].sum())


def refusals(rejects: pd.DataFrame) -> pd.DataFrame:
    """Refused rows and cells counted by fault, the most frequent first: file, column, what, scope, times, and the remedy of the first."""
    keys = ["file", "column", "what", "scope"]
    counted = rejects[[*keys, "remedy"]].fillna("").groupby(keys, as_index=False).agg(times=("remedy", "size"), remedy=("remedy", "first"))
    return counted.sort_values(["times", *keys], ascending=[False, True, True, True, True], kind="stable").reset_index(drop=True)
