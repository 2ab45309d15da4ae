"""Records of the tables without a merge rule of their own: repeated keys and repeated rows are one record."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.draft import Draft
from fleetstats.records.keys import bench_test_ids
from fleetstats.records.merging import agreeing, copied_files, copies, equal_keys
from fleetstats.records.packed import Links, grouped, joined
from fleetstats.records.reasons import COPIED_FILE, EXACT_COPY, SAME_DAY, SAME_KEY, SAME_TEST
from fleetstats.records.stacking import stacked


def settle_plain(draft: Draft) -> pd.DataFrame:
    """Records of a table: rows that repeat the key, or everything where there is no key, are merged; first values known stay.

    A value that contradicts the one that stays is told in the draft's `rejects`.
    """
    rows, table = draft.live, draft.table
    everywhere = pd.Series(True, index=rows.index)
    rule = (SAME_KEY, equal_keys(rows[list(table.key)], everywhere)) if table.key else (EXACT_COPY, copies(rows[list(table.columns)], everywhere))
    groups, why = _linked(len(rows), [rule])
    united = _first_known(rows, groups)
    draft.rejects.append(_contradictions(rows.assign(group=groups), table))
    _settle(draft, rows, groups, why, record_ids(united, table).set_axis(united["at"]))
    return table.check(united[list(table.columns)])


def _linked(n: int, rules: list[tuple[str, Links]]) -> tuple[np.ndarray, np.ndarray]:
    """Groups of n rows connected by the links of all rules, and per row the code of the first rule that links it ("" for none)."""
    why = np.full(n, "", dtype=object)
    for code, links in reversed(rules):
        for ends in links:
            why[ends] = code
    return grouped(n, joined([links for _, links in rules])), why


def _settle(draft: Draft, rows: pd.DataFrame, groups: np.ndarray, why: np.ndarray, ids: pd.Series) -> None:
    """Fates of rows whose groups are led by their first row. ids: record id by place of the leading row."""
    at = rows["at"].to_numpy()
    first = np.unique(groups, return_index=True)[1]
    draft.settle(at, at[first[groups]], why, ids)


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
            column=name, scope="remark", what="contradicts another row of the same key, whose value was kept", found=several.loc[other, name].astype("string"),
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
    groups, why = _linked(len(rows), rules)
    united = _first_known(rows, groups)
    united["bench_test_id"] = bench_test_ids(united)
    _settle(draft, rows, groups, why, united.set_index("at")["bench_test_id"])
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
