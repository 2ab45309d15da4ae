"""Records of the tables without a merge rule of their own: repeated keys and repeated rows are one record."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.draft import Draft
from fleetstats.records.keys import bench_test_ids
from fleetstats.records.merging import COPIED_FILE, COPY, agreeing, copied_files, copies, equal_keys, grouped
from fleetstats.records.stacking import stacked

SAME_TEST = "same bench and number"
SAME_DAY = "same serial and day of test"
SAME_KEY = "same key"


def settle_plain(draft: Draft) -> pd.DataFrame:
    """Records of a table: rows that repeat the key, or everything where there is no key, are merged; first values known stay.

    A value that contradicts the one that stays is told in the draft's `rejects`.
    """
    rows, table = draft.live, draft.table
    said = rows[list(table.columns)]
    everywhere = pd.Series(True, index=rows.index)
    rule = (SAME_KEY, equal_keys(rows[list(table.key)], everywhere)) if table.key else (COPY, copies(said, everywhere))
    groups, why = grouped(len(rows), [rule])
    united = _first_known(rows, groups)
    draft.rejects.append(_contradictions(rows.assign(group=groups), table))
    draft.settle(rows["at"].to_numpy(), groups, why, united["at"].to_numpy(), record_ids(united, table).set_axis(united["group"]))
    return table.check(united[list(table.columns)])


def record_ids(records: pd.DataFrame, table: tables.Table) -> pd.Series:
    """What `lineage` calls the records of a table: its key as one text, parts joined by ' / '; without a key the unit or vehicle it is about."""
    first, *others = table.key or (next(iter(table.columns)),)
    text = records[first].astype("string")
    for name in others:
        text = text + " / " + records[name].astype("string")
    return text


def _contradictions(rows: pd.DataFrame, table: tables.Table) -> pd.DataFrame:
    """Cells that say otherwise than the first row of their group that says anything, as rows of `rejects`. rows: with `group`."""
    several = rows[rows.duplicated("group", keep=False)]
    told = [tables.REJECTS.empty()]
    for name in table.columns:
        kept = several.groupby("group")[name].transform("first")
        other = (several[name].notna() & (several[name] != kept)).fillna(False).to_numpy(bool)
        told.append(tables.REJECTS.conform(several.loc[other, ["file", "sheet", "row"]].assign(
            column=name, scope="cell", what="contradicts another row of the same key, whose value was kept", found=several.loc[other, name].astype("string"),
            wanted=kept[other].astype("string"), remedy="Mend the file that is wrong, or let a profile with [corrections] replace the older row.",
        )))
    return stacked(told)


def settle_bench_tests(draft: Draft) -> pd.DataFrame:
    """Bench tests: one per bench and number (unless serials differ), and one per serial and day (unless verdicts differ)."""
    rows = draft.live
    by_number = equal_keys(rows[["bench", "bench_test_id"]], rows["bench_test_id"].notna())
    by_day = equal_keys(rows[["serial", "tested_on"]], rows[["serial", "tested_on"]].notna().all(axis=1))
    rules = [
        (COPIED_FILE, copied_files(rows)), (SAME_TEST, agreeing(by_number, rows["serial"])),
        (SAME_DAY, agreeing(agreeing(by_day, rows["outcome"]), rows["as_received"].fillna(True))),
    ]
    groups, why = grouped(len(rows), rules)
    united = _first_known(rows, groups)
    united["bench_test_id"] = bench_test_ids(united)
    draft.settle(rows["at"].to_numpy(), groups, why, united["at"].to_numpy(), united.set_index("group")["bench_test_id"])
    return draft.table.check(united[list(draft.table.columns)])


def _first_known(rows: pd.DataFrame, groups: np.ndarray) -> pd.DataFrame:
    """One row per group in the order of the first address: the first value known of each column, the first row's address."""
    marked = rows.assign(group=groups)
    first = marked.drop_duplicates("group").reset_index(drop=True)
    if len(first) == len(marked):
        return first
    known = marked.groupby("group", sort=False).first().reset_index()
    address = ["group", "file", "sheet", "row", "sha256", "source", "at"]
    return known.assign(**{name: first[name] for name in address})[marked.columns].astype(marked.dtypes.to_dict())
