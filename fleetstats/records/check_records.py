"""Checks done at visits, tied to the visit their row became."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.draft import Draft
from fleetstats.records.packed import codes, order_of, packed
from fleetstats.records.stacking import stacked, taken, texts
from fleetstats.sources import SourceFile


def checks_from_texts(files: list[SourceFile], visits: Draft) -> pd.DataFrame:
    """Checks read from the rows of visits, with the visit each row became; those of replaced or refused rows are dropped."""
    parts = [file.checks.assign(file=file.file) for file in files if len(file.checks)]
    if not parts:
        return tables.CHECKS.empty()
    said = pd.concat(parts, ignore_index=True).astype({"file": "string", "sheet": "string", "row": "Int64"})
    place = _places(visits.rows, said)
    fate = texts(visits.rows["fate"])
    there = np.flatnonzero((place >= 0) & np.isin(fate[place], ["accepted", "merged"]))
    # rows stand by address
    order = there[order_of(fate[place[there]] != "accepted", place[there])]
    tied = taken(said, order).assign(visit_id=texts(visits.rows["record_id"])[place[order]])
    return tables.CHECKS.conform(tied[list(tables.CHECKS.columns)])


def _places(rows: pd.DataFrame, said: pd.DataFrame) -> np.ndarray:
    """Position in `rows` of the row with the address of each row of `said`, -1 where there is none."""
    address = pd.concat([rows[["file", "sheet", "row"]], said[["file", "sheet", "row"]]], ignore_index=True)
    key = packed(codes(address["file"]), codes(address["sheet"]), address["row"].fillna(-1).to_numpy(np.int64))
    return np.asarray(pd.Index(key[:len(rows)]).get_indexer(pd.Index(key[len(rows):])))


def astray(draft: Draft, visits: pd.DataFrame) -> pd.DataFrame:
    """Rows that name a visit which no file holds, as rows of `rejects`; they are kept."""
    lost = draft.rows[draft.rows["fate"].isna() & draft.rows["visit_id"].notna() & ~draft.rows["visit_id"].isin(visits["visit_id"])]
    return tables.REJECTS.conform(lost[["file", "sheet", "row"]].assign(
        column="visit_id", scope="cell", what="no file holds this visit; the row was kept", found=lost["visit_id"],
        wanted="a visit, by its identifier or its order number", remedy="Add the file with the visit, or mend the number.",
    ).reset_index(drop=True))


def unite_checks(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """One row per visit and check: the first value known of each column, in the order given."""
    every = pd.concat(parts, ignore_index=True)
    key = list(tables.CHECKS.key)
    twice = every.duplicated(key, keep=False)
    first = every[twice].groupby(key, sort=False).first().reset_index()
    once = tables.CHECKS.check(stacked([every[~twice], tables.CHECKS.conform(first)]))
    return taken(once, order_of(*(pd.factorize(once[name], sort=True)[0] for name in key)))
