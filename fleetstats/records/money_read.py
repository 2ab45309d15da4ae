"""What became of the money of every file, and what each payer paid of a visit that several paid."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.bills import AGAIN, COPIED, KEPT, LEFT_OUT, REPLACED, SUBMITTED, UNCLEAR, Bills, currency_and_tax
from fleetstats.records.facts import MONEY, amount

_COLUMNS = {KEPT: "kept", COPIED: "copies", AGAIN: "copies", SUBMITTED: "copies", REPLACED: "replaced", LEFT_OUT: "left_out", UNCLEAR: "unclear"}


def money_account(rows: pd.DataFrame, outcome: pd.Series) -> pd.DataFrame:
    """Rows of `tables.MONEY_READ`: per file, payer, and currency and tax the money read and what became of it.

    rows: all rows of visits with file, payer, price_basis, money and fate. outcome: of those that were neither refused nor replaced by a
    correction, what became of their money, by index of `rows`. The amounts are those of the rows, each in the money of its own month:
    read = kept + copies + replaced + left_out + unclear + superseded + rejected, and kept is the money of the visits.
    """
    money = amount(rows)
    became = outcome.map(_COLUMNS).reindex(rows.index)
    became = became.mask(rows["fate"].isin(["superseded", "rejected"]), rows["fate"])
    said = pd.DataFrame({"file": rows["file"], "payer": rows["payer"], "basis": currency_and_tax(rows["price_basis"]), "became": became, "money": money})
    said = said[~np.isnan(money)]
    key = ["file", "payer", "basis"]
    summed = said.groupby([*key, "became"], dropna=False, sort=True)["money"].sum().unstack("became", fill_value=0.0)
    counted = said.groupby(key, dropna=False, sort=True).agg(bills=("money", "size"), read=("money", "sum"))
    parts = summed.reindex(columns=[*dict.fromkeys(_COLUMNS.values()), "superseded", "rejected"], fill_value=0.0)
    return tables.MONEY_READ.check(counted.join(parts).round(2).reset_index())


def payments(rows: pd.DataFrame, bills: Bills, visit_ids: np.ndarray) -> pd.DataFrame:
    """Rows of `tables.PAYMENTS`: the bills of the visits that several paid, added up per payer. visit_ids: record per row."""
    where = np.flatnonzero(bills.shared)
    said = rows.iloc[where][[*MONEY[:3], "price_basis", "payer"]].assign(visit_id=visit_ids[where], total_cost=bills.money[where])
    by = said.groupby(["visit_id", "payer"], dropna=False, sort=True)
    added = by[MONEY].sum(min_count=1).round(6)
    return tables.PAYMENTS.check(added.assign(price_basis=by["price_basis"].first()).reset_index())
