"""The door: typed rows of all files for one table, and what is refused there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.errors import Problem
from fleetstats.records.columnar import carried_texts, joined_texts
from fleetstats.records.exchange import day_of
from fleetstats.records.packed import order_of
from fleetstats.records.stacking import texts
from fleetstats.sources import SourceFile

CARRIED = defaultdict[str, frozenset[str]](frozenset, visits=frozenset({
    "technician", "detection", "symptom", "called_item", "called_mode", "certainty", "note", "symptom_words", "called_words", "action_words",
}))
"""Table -> its texts that no step of the joining reads: it carries them along."""
MADE_KEYS = ("visit_id", "bench_test_id")


def gather(files: Iterable[SourceFile], table: tables.Table) -> pd.DataFrame:
    """The rows of every file for `table`, by address: its columns, and file, sheet, row, sha256 (of the file), source, reason (what
    the file says by 'as above', else empty). Columns CARRIED are kept as Arrow has them."""
    parts = [_addressed(file, table) for file in files if file.table == table.name and len(file.rows)]
    if not parts:
        return _no_rows(table)
    rows = pd.DataFrame({name: _column([part[name] for part in parts], name in CARRIED[table.name]) for name in parts[0]}, copy=False)
    address = [pd.factorize(rows[name], sort=True)[0] for name in ("file", "sheet")]
    order = order_of(*address, rows["row"].fillna(-1).to_numpy(np.int64))
    return rows if (order[1:] > order[:-1]).all() else rows.take(order).reset_index(drop=True)


def _addressed(file: SourceFile, table: tables.Table) -> dict[str, pd.Series]:
    rows = file.rows
    said = table.conform(pd.DataFrame({name: rows[name] for name in table.columns if name in rows}, copy=False), coded=True)
    same = {name: _same(text, len(rows)) for name, text in {"file": file.file, "sha256": file.sha256, "source": file.source, "reason": ""}.items()}
    place = {"sheet": rows["sheet"], "row": rows["row"].astype("Int64")}
    inferred = {"reason": rows["inferred"].astype("string").fillna("")} if "inferred" in rows else {}
    told = same | place | inferred
    return {name: said[name] for name in table.columns} | {name: told[name] for name in _ADDRESS_TYPES}


def _same(text: str, rows: int) -> pd.Series:
    """One text in every row."""
    return pd.Series(pd.Categorical([text]).take(np.zeros(rows, dtype=np.int64)))


def _column(parts: list[pd.Series], carried: bool) -> pd.Series:
    """One column of all files."""
    if isinstance(parts[0].dtype, pd.StringDtype | pd.CategoricalDtype):
        return carried_texts(parts) if carried else joined_texts(parts)
    column: pd.Series = pd.concat(parts, ignore_index=True)
    return column


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
        column=told["column"], field=told["column"], scope=told["scope"], what="the value breaks a rule of the table", found=told["value"].astype("string"),
        wanted=told["rule"], remedy=told["scope"].map(remedy),
    ))


def in_order(visits: pd.DataFrame) -> pd.DataFrame:
    """Takes the release day from visits whose release lies before their arrival; the cells as rows of `rejects`."""
    early = (visits["date_out"] < day_of(visits, "date_in", "opened_on")).to_numpy(bool)
    told = visits.loc[early, ["file", "sheet", "row"]].assign(
        column="date_out", field="date_out", scope="cell", what="released before it came in", found=visits.loc[early, "date_out"].dt.strftime("%Y-%m-%d"),
        wanted="a day not before the arrival", remedy="The release day was left empty; mend it in the file and import again.",
    )
    if early.any():
        visits["date_out"] = visits["date_out"].mask(early)
    return tables.REJECTS.conform(told.reset_index(drop=True))


def told_by_sources(files: Iterable[SourceFile]) -> pd.DataFrame:
    """The problems met while reading, as rows of `rejects`; those of a row that was refused have the scope 'row', those without a row
    'file', those that emptied no cell 'remark'."""
    rows = [row for file in files for row in _rejects_of(file)]
    return tables.REJECTS.conform(pd.DataFrame(rows, columns=list(tables.REJECTS.columns))) if rows else tables.REJECTS.empty()


def _rejects_of(file: SourceFile) -> list[dict[str, object]]:
    refused = file.fates[file.fates["fate"] == "rejected"]
    lost = set(zip(texts(refused["sheet"]), refused["row"].astype(int), strict=True))
    return [{**problem.to_dict(), "file": problem.file or file.file, "scope": _scope(problem, lost)} for problem in file.problems]


def _scope(problem: Problem, lost: set[tuple[str | None, int]]) -> str:
    """lost: sheet and number of the rows that were refused."""
    if problem.row is None:
        return "file"
    return "row" if (problem.sheet, problem.row) in lost else "cell" if problem.field else "remark"
