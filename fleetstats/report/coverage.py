"""Which days the records of each shop cover: as the table of shops says, else as the profiles of its files say."""

from __future__ import annotations

import pandas as pd

from fleetstats.records import Fleet

DAYS = ["covers_from", "covers_to"]


def coverage(fleet: Fleet) -> pd.DataFrame:
    """One row per shop of the table of shops and of the visits (missing for visits that name none): shop, covers_from, covers_to.

    A day that the table of shops does not give is the first, or the last, of the files that the shop's visits stand in; missing where one of
    these files states none.
    """
    stated = fleet.shops[["shop", *DAYS]]
    told = stated.merge(_of_files(fleet), on="shop", how="outer", suffixes=("", "_of_files"))
    return pd.DataFrame({"shop": told["shop"], **{name: told[name].fillna(told[f"{name}_of_files"]) for name in DAYS}})


def _of_files(fleet: Fleet) -> pd.DataFrame:
    """Per shop what the files of its visits cover together."""
    lineage = fleet.lineage
    rows = lineage.loc[lineage["table"].eq("visits") & lineage["fate"].eq("accepted"), ["record_id", "file"]]
    placed = rows.merge(fleet.visits[["visit_id", "shop"]], left_on="record_id", right_on="visit_id")[["shop", "file"]].drop_duplicates()
    known = placed.merge(fleet.files[["file", *DAYS]], on="file")
    by = known.groupby("shop", dropna=False)
    days = by.agg(covers_from=("covers_from", "min"), covers_to=("covers_to", "max"))
    silent = known[DAYS].isna().groupby([known["shop"]], dropna=False).any()
    return days.mask(silent).reset_index()
