"""The door: typed rows of all files for one table, and what is refused there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.exchange import day_of
from fleetstats.records.packed import order_of
from fleetstats.records.stacking import texts
from fleetstats.sources import SourceFile

MADE_KEYS = ("visit_id", "bench_test_id")


def gather(files: Iterable[SourceFile], table: tables.Table) -> pd.DataFrame:
    """The rows of every file for `table`, by address: its columns, and file, sheet, row, sha256 (of the file), source, reason (what
    the file says by 'as above', else empty)."""
    parts = [_addressed(file, table) for file in files if file.table == table.name and len(file.rows)]
    if not parts:
        return _no_rows(table)
    rows = pd.concat(parts, ignore_index=True)
    address = [pd.factorize(rows[name], sort=True)[0] for name in ("file", "sheet")]
    order = order_of(*address, rows["row"].fillna(-1).to_numpy(np.int64))
    return rows if (order[1:] > order[:-1]).all() else rows.take(order).reset_index(drop=True)


def _addressed(file: SourceFile, table: tables.Table) -> pd.DataFrame:
    said = table.conform(pd.DataFrame({name: file.rows[name] for name in table.columns if name in file.rows}, copy=False))
    place = {"file": file.file, "sheet": file.rows["sheet"], "row": file.rows["row"], "sha256": file.sha256, "source": file.source,
             "reason": file.rows["inferred"].fillna("") if "inferred" in file.rows else ""}
    address = {name: pd.Series(place[name], index=said.index, dtype=dtype) for name, dtype in _ADDRESS_TYPES.items()}
    return pd.DataFrame({name: said[name] for name in said} | address, copy=False)


def _no_rows(table: tables.Table) -> pd.DataFrame:
    address = pd.DataFrame({name: pd.Series(dtype=dtype) for name, dtype in _ADDRESS_TYPES.items()})
    return pd.concat([table.empty(), address], axis=1)


_ADDRESS_TYPES = {"file": "string", "sheet": "string", "row": "Int64", "sha256": "string", "source": "string", "reason": "string"}


def at_the_door(rows: pd.DataFrame, table: tables.Table) -> tuple[pd.DataFrame, np.ndarray, pd.DataFrame]:
    """`rows`, conformed, with cells that break a rule emptied, which rows are refused (boolean), and both as rows of `rejects`.

    A row is refused when a column that must be there is missing or broken; a broken cell of any other column is emptied.
    """
    faults = replace(table, key=()).faults(rows)
    faults = faults[~faults["column"].isin(MADE_KEYS if table.name in ("visits", "bench_tests") else ())]
    needed = {name for name, column in table.columns.items() if not column.nullable} | set(table.key)
    faults = faults.assign(scope=faults["column"].isin(needed).map({True: "row", False: "cell"}).astype("string"))
    mended = pd.DataFrame({name: rows[name] for name in rows}, copy=False)
    for name, cells in faults[faults["scope"] == "cell"].groupby("column"):
        mended[name] = rows[name].mask(rows.index.isin(cells["row"]))
    refused = rows.index.isin(faults.loc[faults["scope"] == "row", "row"])
    return mended, refused, _as_rejects(rows, faults)


def _as_rejects(rows: pd.DataFrame, faults: pd.DataFrame) -> pd.DataFrame:
    if faults.empty:
        return tables.REJECTS.empty()
    where = rows.loc[faults["row"].to_numpy(), ["file", "sheet", "row"]].reset_index(drop=True)
    remedy = {"row": "Fill this cell in the file and import again.", "cell": "The cell was left empty; mend it in the file and import again."}
    told = faults.reset_index(drop=True)
    return tables.REJECTS.conform(where.assign(
        column=told["column"], scope=told["scope"], what="the value breaks a rule of the table", found=told["value"].astype("string"),
        wanted=told["rule"], remedy=told["scope"].map(remedy),
    ))


def in_order(visits: pd.DataFrame) -> pd.DataFrame:
    """Takes the release day from visits whose release lies before their arrival; the cells as rows of `rejects`."""
    early = (visits["date_out"] < day_of(visits, "date_in", "opened_on")).to_numpy(bool)
    told = visits.loc[early, ["file", "sheet", "row"]].assign(
        column="date_out", scope="cell", what="released before it came in", found=visits.loc[early, "date_out"].dt.strftime("%Y-%m-%d"),
        wanted="a day not before the arrival", remedy="The release day was left empty; mend it in the file and import again.",
    )
    if early.any():
        visits["date_out"] = visits["date_out"].mask(early)
    return tables.REJECTS.conform(told.reset_index(drop=True))


def told_by_sources(files: Iterable[SourceFile]) -> pd.DataFrame:
    """The problems met while reading, as rows of `rejects`; those of a row that was refused have the scope 'row', those without a row 'file'."""
    rows = [row for file in files for row in _rejects_of(file)]
    return tables.REJECTS.conform(pd.DataFrame(rows, columns=list(tables.REJECTS.columns))) if rows else tables.REJECTS.empty()


def _rejects_of(file: SourceFile) -> list[dict[str, object]]:
    refused = file.fates[file.fates["fate"] == "rejected"]
    lost = set(zip(texts(refused["sheet"]), refused["row"].astype(int), strict=True))
    scopes = ["file" if problem.row is None else "row" if (problem.sheet, problem.row) in lost else "cell" for problem in file.problems]
    return [{**problem.to_dict(), "file": problem.file or file.file, "scope": scope} for problem, scope in zip(file.problems, scopes, strict=True)]
