"""Checks done at visits, tied to the visit their row became."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.columnar import text_ranks
from fleetstats.records.draft import Draft
from fleetstats.records.packed import codes, order_of, packed, repeated
from fleetstats.records.stacking import stacked, taken, texts
from fleetstats.sources import SourceFile

_SAID = [name for name in tables.CHECKS.columns if name != "visit_id"]
_NONE = np.empty(0, dtype=np.int64)

def checks_from_texts(files: list[SourceFile], visits: Draft) -> pd.DataFrame:
    """Checks read from the rows of visits, with the visit each row became; those of replaced or refused rows are dropped."""
    told = [file for file in files if len(file.checks)]
    if not told:
        return tables.CHECKS.empty()
    rows_of_file = visits.rows.groupby("file", sort=False).indices
    place = np.concatenate([_places(visits.rows, np.asarray(rows_of_file.get(file.file, _NONE)), file.checks) for file in told])
    said = stacked(file.checks[_SAID] for file in told)
    fate = texts(visits.rows["fate"])
    accepted, merged = fate == "accepted", fate == "merged"
    there = np.flatnonzero((place >= 0) & (accepted | merged)[place])
    # rows stand by address
    order = there[order_of(~accepted[place[there]], place[there])]
    return tables.CHECKS.conform(taken(said, order).assign(visit_id=texts(visits.rows["record_id"])[place[order]]))


def _places(rows: pd.DataFrame, of_file: np.ndarray, said: pd.DataFrame) -> np.ndarray:
    """Position in `rows` of the row with the sheet and number of each row of `said`, -1 where there is none. of_file: positions of its file."""
    sheet = codes(stacked([rows[["sheet"]].take(of_file), said[["sheet"]]])["sheet"])
    number = np.concatenate([rows["row"].array.take(of_file).fillna(-1).to_numpy(np.int64), said["row"].fillna(-1).to_numpy(np.int64)])
    key = packed(sheet, number)
    found = pd.Index(key[:len(of_file)]).get_indexer(pd.Index(key[len(of_file):]))
    return np.append(of_file, -1)[found]


def astray(draft: Draft, visits: pd.DataFrame) -> pd.DataFrame:
    """Rows that name a visit which no file holds, as rows of `rejects`; they are kept."""
    lost = draft.rows[draft.rows["fate"].isna() & draft.rows["visit_id"].notna() & ~draft.rows["visit_id"].isin(visits["visit_id"])]
    return tables.REJECTS.conform(lost[["file", "sheet", "row"]].assign(
        column="visit_id", scope="remark", what="no file holds this visit; the row was kept", found=lost["visit_id"],
        wanted="a visit, by its identifier or its order number", remedy="Add the file with the visit, or mend the number.",
    ).reset_index(drop=True))


def unite_checks(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """One row per visit and check: the first value known of each column, in the order given."""
    every = stacked(parts)
    key = packed(*(text_ranks(every[name]) for name in tables.CHECKS.key))
    twice = repeated(key)
    several = every[twice].groupby(key[twice], sort=False).first()
    once = stacked([every[~twice], tables.CHECKS.conform(several)])
    sorted_once = taken(once, order_of(np.concatenate([key[~twice], several.index.to_numpy(np.int64)])))
    # no key stands twice by now
    return replace(tables.CHECKS, key=()).check(sorted_once)
