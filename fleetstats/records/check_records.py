"""Checks done at visits, tied to the visit their row became."""

from __future__ import annotations

import pandas as pd

from fleetstats import tables
from fleetstats.records.draft import Draft
from fleetstats.sources import SourceFile


def checks_from_texts(files: list[SourceFile], visits: Draft) -> pd.DataFrame:
    """Checks read from the rows of visits, with the visit each row became; those of replaced or refused rows are dropped."""
    parts = [file.checks.assign(file=file.file) for file in files if len(file.checks)]
    if not parts:
        return tables.CHECKS.empty()
    rows = visits.rows[visits.rows["fate"].isin(["accepted", "merged"])]
    address = rows[["file", "sheet", "row", "record_id"]].assign(leads=rows["fate"] == "accepted")
    said = pd.concat(parts, ignore_index=True).astype({"file": "string", "sheet": "string", "row": "Int64"})
    tied = said.merge(address, on=["file", "sheet", "row"]).rename(columns={"record_id": "visit_id"})
    tied = tied.sort_values(["leads", "file", "sheet", "row"], ascending=[False, True, True, True], kind="stable")
    return tables.CHECKS.conform(tied[list(tables.CHECKS.columns)].reset_index(drop=True))


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
    return tables.CHECKS.check(tables.CHECKS.conform(pd.concat([every[~twice], first[every.columns]], ignore_index=True)).sort_values(key, ignore_index=True))
