"""How many rows were merged, and why."""

from __future__ import annotations

import re

import pandas as pd

from fleetstats.records.fleet import Fleet
from fleetstats.records.reasons import MERGE_CODES

_CODE = re.compile("(?:^|; )(" + "|".join(re.escape(code) for code in MERGE_CODES) + ")(?=$|:|;)")


def merge_reasons(fleet: Fleet) -> pd.DataFrame:
    """Merged rows counted by reason: table, file, code, rows, meaning; per file they add up to its `merged`.

    code: one of `reasons.MERGE_CODES`, in that order within a file.
    """
    merged = fleet.lineage.loc[fleet.lineage["fate"] == "merged", ["table", "file", "reason"]]
    codes = {text: found[1] if (found := _CODE.search(text)) else "" for text in merged["reason"].dropna().unique()}
    merged = merged.assign(code=pd.Categorical(merged["reason"].map(codes), categories=list(MERGE_CODES), ordered=True))
    counted = merged.groupby(["table", "file", "code"], observed=True, sort=True).size().rename("rows").reset_index()
    counted["code"] = counted["code"].astype("string")
    return counted.assign(meaning=counted["code"].map(MERGE_CODES).astype("string"))
