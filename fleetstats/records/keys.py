"""Identifiers of records, made from what the shop wrote."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.stacking import texts


def address_ids(rows: pd.DataFrame) -> pd.Series:
    """`file:row`, with the sheet between them where there is one."""
    sheet = ("/" + rows["sheet"]).fillna("")
    return rows["file"] + sheet + ":" + rows["row"].astype("string")


def visit_ids(visits: pd.DataFrame) -> pd.Series:
    """The identifier given, else `shop:document`, else `file:row`; a later visit of one number gets ' (2)', ' (3)', ...

    visits: one row per event, in the order in which numbers are given out.
    """
    ids = texts(visits["visit_id"])
    nameless, numbered_by_shop = visits["visit_id"].isna().to_numpy(bool), visits["document"].notna().to_numpy(bool)
    by_document = np.flatnonzero(nameless & numbered_by_shop)
    maker, document = (np.asarray(visits[name].array, dtype=object)[by_document] for name in ("shop", "document"))
    shopless = pd.isna(maker)
    maker[shopless] = texts(visits["source"].iloc[by_document[shopless]])
    ids[by_document] = [f"{name}:{number}" for name, number in zip(maker, document, strict=True)]
    by_address = np.flatnonzero(nameless & ~numbered_by_shop)
    ids[by_address] = texts(address_ids(visits[["file", "sheet", "row"]].iloc[by_address]))
    return numbered(pd.Series(ids, index=visits.index, dtype="string"))


def bench_test_ids(tests: pd.DataFrame) -> pd.Series:
    """`bench:number` where the log has a number, else `file:row`."""
    named = (tests["bench"] + ":" + tests["bench_test_id"]).where(tests["bench"].notna(), tests["bench_test_id"])
    return numbered(named.where(tests["bench_test_id"].notna(), address_ids(tests)))


def numbered(ids: pd.Series) -> pd.Series:
    """The same texts, repeated ones numbered from the second on."""
    repeats = ids[ids.duplicated(keep=False)]
    if repeats.empty:
        return ids.astype("string")
    count = repeats.groupby(repeats).cumcount() + 1
    later = count[count > 1]
    every = texts(ids)
    every[ids.index.get_indexer(later.index)] = texts(repeats[later.index] + " (" + later.astype("string") + ")")
    return pd.Series(every, index=ids.index, dtype="string")
