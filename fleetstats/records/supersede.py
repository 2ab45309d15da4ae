"""Corrections: rows of one source that replace rows of others."""

from __future__ import annotations

from collections.abc import Mapping
from graphlib import CycleError, TopologicalSorter

import numpy as np
import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.records.packed import document_form

SAME_BY = {"visits": "document", "bench_tests": "bench_test_id", "vehicles": "vehicle_id"}
"""The number by which a correction names the row it replaces, per table."""


def refuse_circles(corrects: Mapping[str, tuple[str, ...]]) -> None:
    """Raises InputRefused where sources correct each other in a circle: each would replace the other's rows and none be left."""
    try:
        TopologicalSorter({source: [name for name in names if name != source] for source, names in corrects.items()}).prepare()
    except CycleError as error:
        circle = " -> ".join(sorted(set(error.args[1])))
        remedy = "Take one of them out of `of` in [corrections], so that it is plain which source is the newer one."
        raise InputRefused(Problem(what="profiles correct each other", found=circle, remedy=remedy)) from None


def superseded(rows: pd.DataFrame, usable: np.ndarray, table: str, corrects: Mapping[str, tuple[str, ...]]) -> pd.Series:
    """For every row the position of the row that replaces it, or missing.

    rows: typed rows of one table, positions as index; only those `usable` replace and are replaced. corrects: source -> sources whose rows it replaces.
    A visit is replaced where document and shop agree, the shop only where both rows name one. Where several rows
    correct one, the last by address counts; within one source a row replaces those before it.
    """
    by = pd.Series(pd.NA, index=rows.index, dtype="Int64")
    if table not in SAME_BY or not corrects:
        return by
    concerned = {*corrects, *(name for names in corrects.values() for name in names)}
    some = rows[usable & rows["source"].isin(concerned).to_numpy(bool)]
    numbers = pd.DataFrame({"number": document_form(some[SAME_BY[table]]), "source": some["source"], "position": some.index})
    numbers["shop"] = some.get("shop", pd.NA)
    numbers = numbers.dropna(subset="number")
    pairs = [(source, named) for source, names in corrects.items() for named in names]
    named = numbers.merge(pd.DataFrame(pairs, columns=["source", "of"], dtype="string"), on="source")
    found = named.merge(numbers, left_on=["of", "number"], right_on=["source", "number"], suffixes=("_new", "_old"))
    agrees = (found["shop_new"] == found["shop_old"]).fillna(True).astype(bool)
    agrees &= (found["source_new"] != found["source_old"]) | (found["position_new"] > found["position_old"])
    last = found[agrees].sort_values("position_new").drop_duplicates("position_old", keep="last")
    by.loc[last["position_old"].to_numpy()] = last["position_new"].to_numpy()
    return by
