"""Identifiers of records, made from what the shop wrote."""

from __future__ import annotations

import pandas as pd


def address_ids(rows: pd.DataFrame) -> pd.Series:
    """`file:row`, with the sheet between them where there is one."""
    sheet = ("/" + rows["sheet"]).fillna("")
    return rows["file"] + sheet + ":" + rows["row"].astype("string")


def visit_ids(visits: pd.DataFrame) -> pd.Series:
    """The identifier given, else `shop:document`, else `file:row`; a later visit of one number gets ' (2)', ' (3)', ...

    visits: one row per event, in the order in which numbers are given out.
    """
    maker = visits["shop"].where(visits["shop"].notna(), visits["source"])
    made = (maker + ":" + visits["document"]).where(visits["document"].notna(), address_ids(visits))
    return numbered(visits["visit_id"].where(visits["visit_id"].notna(), made))


def bench_test_ids(tests: pd.DataFrame) -> pd.Series:
    """`bench:number` where the log has a number, else `file:row`."""
    named = (tests["bench"] + ":" + tests["bench_test_id"]).where(tests["bench"].notna(), tests["bench_test_id"])
    return numbered(named.where(tests["bench_test_id"].notna(), address_ids(tests)))


def numbered(ids: pd.Series) -> pd.Series:
    """The same texts, repeated ones numbered from the second on."""
    count = ids.groupby(ids).cumcount() + 1
    return (ids + (" (" + count.astype("string") + ")").where(count > 1, "")).astype("string")
