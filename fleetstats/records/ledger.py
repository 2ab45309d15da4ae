"""The ledger: every row of every file with what became of it, and the account made from it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.errors import InputRefused, Problem
from fleetstats.records.packed import codes, packed
from fleetstats.sources import SourceFile
from fleetstats.tables.ledger import FATES


def entries(rows: pd.DataFrame, table: str, reason: pd.Series) -> pd.DataFrame:
    """Rows of `lineage` for `rows`, which carry file, sheet, row, record_id and fate."""
    said = rows[["file", "sheet", "row", "record_id", "fate"]].assign(table=table, reason=reason)
    return tables.LINEAGE.conform(said.reset_index(drop=True))


def read_fates(files: Iterable[SourceFile]) -> list[pd.DataFrame]:
    """The fates that rows met while they were read."""
    parts = [file.fates[["sheet", "row", "fate", "reason"]].assign(file=file.file, table=file.table) for file in files if len(file.fates)]
    return [tables.LINEAGE.conform(part) for part in parts]


def account(files: Iterable[SourceFile], lineage: pd.DataFrame) -> pd.DataFrame:
    """One row per file, columns of `tables.FILES`.

    Raises InputRefused naming every file whose rows read are not the sum of its rows' fates, or of which a row stands twice.
    """
    read = _read(files)
    counted = lineage.groupby(["file", "fate"]).size().unstack("fate", fill_value=0).reindex(index=read["file"], columns=list(FATES), fill_value=0)
    counted.columns = pd.Index([name.replace(" ", "_") for name in FATES])
    table = read.merge(counted.reset_index(), on="file")
    address = packed(*(codes(lineage[name]) for name in ("file", "table", "sheet")), lineage["row"].fillna(-1).to_numpy(np.int64))
    twice = lineage["file"][pd.Series(address, index=lineage.index).duplicated()]
    accounted = table[list(counted.columns)].sum(axis=1)
    wrong = table[(accounted != table["rows_read"]) | table["file"].isin(twice)]
    if len(wrong):
        raise InputRefused(_not_accounted(*row) for row in zip(wrong["file"], wrong["rows_read"], accounted[wrong.index], strict=True))
    return tables.FILES.check(table)


def _read(files: Iterable[SourceFile]) -> pd.DataFrame:
    rows = [(f.file, f.sha256, f.source, f.covers_from, f.covers_to, f.tax_taken_off, f.rows_read) for f in files]
    parts = pd.DataFrame(rows, columns=["file", "sha256", "source", "covers_from", "covers_to", "tax_taken_off", "rows_read"])
    first = parts.drop(columns="rows_read").drop_duplicates("file")
    total = parts.groupby("file", as_index=False)["rows_read"].sum()
    read = first.merge(total, on="file").sort_values("file", ignore_index=True)
    dtypes = {"covers_from": "datetime64[s]", "covers_to": "datetime64[s]", "tax_taken_off": "float64", "file": "string", "source": "string"}
    return read.astype(dtypes).replace({np.nan: None})


def _not_accounted(file: str, read: int, accounted: int) -> Problem:
    remedy = "The import was stopped and nothing was changed. Please report this file's layout; it is a fault of the program."
    return Problem(what=f"{read} rows were read and {accounted} accounted for", file=file, remedy=remedy)
