"""Rows of one event made one record: which row leads, what is earliest, what is added up."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.exchange import is_exchange, opened
from fleetstats.records.merging import MONEY, amount, document_form

ADDED = [*MONEY, "labour_hours"]
EARLIEST = ["complaint_on", "opened_on", "date_in", "reported_on"]
LATEST = ["date_out"]


def leading_order(visits: pd.DataFrame) -> np.ndarray:
    """Positions in the order in which rows speak for their event.

    A row that names an exchange comes first, then one with a release day, then one with money, then the earlier one, then by address, so that
    a telephone report read from an earlier file does not give the event its shop and number.
    """
    keys = pd.DataFrame({
        "exchange": ~is_exchange(visits), "released": visits["date_out"].isna(), "money": amount(visits).isna(),
        "opened": opened(visits), "file": visits["file"], "sheet": visits["sheet"].fillna(""), "row": visits["row"],
    }).reset_index(drop=True)
    return keys.sort_values(list(keys.columns), kind="stable").index.to_numpy()


def unite_visits(visits: pd.DataFrame, groups: np.ndarray) -> pd.DataFrame:
    """One row per group, with the address of its leading row and `group`.

    The earliest complaint, order, arrival and report, the latest release, the first value known of everything else;
    money and hours of rows that bill different parts of the visit are added up, those of copies are not.
    """
    ordered = visits.assign(group=groups).iloc[leading_order(visits)]
    alone = ~ordered["group"].duplicated(keep=False)
    several = ordered[~alone]
    if several.empty:
        return ordered.reset_index(drop=True)
    by = several.groupby("group", sort=False)
    united = by.first()
    united[EARLIEST] = by[EARLIEST].min()
    united[LATEST] = by[LATEST].max()
    united[ADDED] = _billed(several)
    for name in ("file", "sheet", "row", "source", "reason"):
        # the address is the leading row's own, a missing sheet included
        united[name] = several.drop_duplicates("group").set_index("group")[name]
    return pd.concat([ordered[alone], united.reset_index()[ordered.columns]], ignore_index=True).astype(ordered.dtypes.to_dict())


def _billed(several: pd.DataFrame) -> pd.DataFrame:
    """Money and hours per group: the bills added up, a revised bill once, equal amounts once, in one price basis."""
    bills = several.assign(_amount=amount(several), _document=document_form(several["document"]))
    basis = bills.dropna(subset="_amount").drop_duplicates("group").set_index("group")["price_basis"]
    leading = bills["group"].map(basis)
    agrees = (bills["price_basis"] == leading).fillna(False).astype(bool) | (bills["price_basis"].isna() & leading.isna())
    bills = bills[bills["_amount"].notna() & agrees].sort_values("reported_on", kind="stable", na_position="first")
    bills = bills[~_revised(bills)].drop_duplicates(["group", "_amount"])
    added = bills.groupby("group")[ADDED].sum(min_count=1)
    unbilled = several[~several["group"].isin(bills["group"])].groupby("group")[ADDED].first()
    return pd.concat([added, unbilled])


def _revised(bills: pd.DataFrame) -> pd.Series:
    """True for bills that a later one of the same document and payer replaces (an estimate and its invoice).

    Bills of one document replace each other when they name the same kind of cost, or name none and were reported on
    different days; parts on one line and labour on another are two halves of one bill, and a credit is never a revision.
    """
    charged = bills[(bills["_amount"] >= 0) & bills["_document"].notna()]
    kinds = charged[MONEY[:3]].fillna(0) != 0
    key = [charged[name] for name in ("group", "shop", "_document", "payer")]
    same_kind = kinds.astype("int64").groupby(key, dropna=False).transform("sum").max(axis=1) > 1
    bare = (~kinds.any(axis=1)).groupby(key, dropna=False).transform("all")
    days = charged["reported_on"].groupby(key, dropna=False).transform("nunique")
    last = ~charged.duplicated(["group", "shop", "_document", "payer"], keep="last")
    return ((same_kind | (bare & (days > 1))) & ~last).reindex(bills.index, fill_value=False)
