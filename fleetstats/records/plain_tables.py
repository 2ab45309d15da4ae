"""Records of the tables without a merge rule of their own: repeated keys and repeated rows are one record."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.draft import Draft
from fleetstats.records.keys import bench_test_ids
from fleetstats.records.merging import COPY, Links, copies, equal_keys, grouped
from fleetstats.records.stacking import texts

SAME_TEST = "same bench and number"
SAME_DAY = "same serial and day of test"
SAME_KEY = "same key"


def settle_plain(draft: Draft) -> pd.DataFrame:
    """Records of a table: rows that repeat the key, or everything where there is no key, are merged; first values known stay."""
    rows, table = draft.live, draft.table
    said = rows[list(table.columns)]
    everywhere = pd.Series(True, index=rows.index)
    rule = (SAME_KEY, equal_keys(rows[list(table.key)], everywhere)) if table.key else (COPY, copies(said, everywhere))
    groups, why = grouped(len(rows), [rule])
    united = _first_known(rows, groups)
    draft.settle(rows["at"].to_numpy(), groups, why, united["at"].to_numpy(), _key_text(united, table.key).set_axis(united["group"]))
    return table.check(united[list(table.columns)])


def _key_text(records: pd.DataFrame, key: tuple[str, ...]) -> pd.Series:
    """The key as one text, parts joined by ' / '; missing where the table has none."""
    if not key or records.empty:
        return pd.Series(pd.NA, index=records.index, dtype="string")
    return records[list(key)].astype("string").agg(" / ".join, axis=1)


def settle_bench_tests(draft: Draft) -> pd.DataFrame:
    """Bench tests: one per bench and number (unless serials differ), and one per serial and day."""
    rows = draft.live
    by_number = equal_keys(rows[["bench", "bench_test_id"]], rows["bench_test_id"].notna())
    by_day = equal_keys(rows[["serial", "tested_on"]], rows[["serial", "tested_on"]].notna().all(axis=1))
    groups, why = grouped(len(rows), [(SAME_TEST, _one_unit(rows, by_number)), (SAME_DAY, by_day)])
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
    address = ["group", "file", "sheet", "row", "source", "at"]
    return known.assign(**{name: first[name] for name in address})[marked.columns].astype(marked.dtypes.to_dict())


def _one_unit(rows: pd.DataFrame, links: Links) -> Links:
    serial = texts(rows["serial"])
    agree = [a is None or b is None or a == b for a, b in zip(serial[links[0]], serial[links[1]], strict=True)]
    return links[0][agree], links[1][agree]
