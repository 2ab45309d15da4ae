"""Corrections: rows of one source that replace rows of others."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from fleetstats.records.merging import document_form

SAME_BY = {"visits": "document", "bench_tests": "bench_test_id", "vehicles": "vehicle_id"}
"""The number by which a correction names the row it replaces, per table."""


def superseded(rows: pd.DataFrame, table: str, corrects: Mapping[str, tuple[str, ...]]) -> pd.Series:
    """For every row the position of the row that replaces it, or missing.

    rows: typed rows of one table, positions as index. corrects: source -> sources whose rows it replaces.
    A visit is replaced where document and shop agree, the shop only where both rows name one. Where several rows
    correct one, the last by address counts.
    """
    by = pd.Series(pd.NA, index=rows.index, dtype="Int64")
    if table not in SAME_BY or not corrects:
        return by
    numbers = pd.DataFrame({"number": document_form(rows[SAME_BY[table]]), "source": rows["source"], "position": rows.index})
    numbers["shop"] = rows.get("shop", pd.NA)
    numbers = numbers.dropna(subset="number")
    pairs = [(source, named) for source, names in corrects.items() for named in names]
    named = numbers.merge(pd.DataFrame(pairs, columns=["source", "of"], dtype="string"), on="source")
    found = named.merge(numbers, left_on=["of", "number"], right_on=["source", "number"], suffixes=("_new", "_old"))
    agrees = (found["shop_new"] == found["shop_old"]).fillna(True).astype(bool) & (found["position_new"] != found["position_old"])
    last = found[agrees].sort_values("position_new").drop_duplicates("position_old", keep="last")
    by.loc[last["position_old"].to_numpy()] = last["position_new"].to_numpy()
    return by
