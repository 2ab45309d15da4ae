"""Rows of one event made one record: which row leads, what is earliest, what is added up."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.bills import KEPT, LEFT_OUT, UNCLEAR, Bills
from fleetstats.records.exchange import is_exchange, opened
from fleetstats.records.merging import MONEY, amount
from fleetstats.records.packed import MISSING_DAY, day_numbers, order_of, repeated

ADDED = [*MONEY, "labour_hours"]
EARLIEST = ["complaint_on", "opened_on", "date_in", "reported_on"]
LATEST = ["date_out"]
ADDRESS = ["file", "sheet", "row", "sha256", "source", "reason", "at"]
SEVERAL = "several"
"""The payer of a visit that several paid; what each paid stands in `payments`."""


def leading_ranks(visits: pd.DataFrame) -> np.ndarray:
    """Place of each row in the order in which rows speak for their event. visits: by address.

    A row that names an exchange comes first, then one with a release day, then one with money, then the earlier one, then by address, so that
    a telephone report read from an earlier file does not give the event its shop and number.
    """
    unreleased, unbilled = visits["date_out"].isna().to_numpy(bool), np.isnan(amount(visits))
    order = order_of(~is_exchange(visits).to_numpy(bool), unreleased, unbilled, day_numbers(opened(visits)))
    ranks = np.empty(len(visits), dtype=np.int64)
    ranks[order] = np.arange(len(visits))
    return ranks


def leaders_of(groups: np.ndarray, ranks: np.ndarray) -> np.ndarray:
    """Per row the position of the row of its group with the lowest rank."""
    backwards = np.argsort(ranks)[::-1]
    first = np.full(int(groups.max(initial=-1)) + 1, -1, dtype=np.int64)
    first[groups[backwards]] = backwards
    return np.asarray(first[groups])


def unite_visits(visits: pd.DataFrame, leaders: np.ndarray, ranks: np.ndarray, bills: Bills) -> pd.DataFrame:
    """One row per event, in the order of the leading rows' positions, with the address of its leading row. leaders: position of the leader, per row.

    The earliest complaint, order, arrival and report, the latest release, the first value known of everything else; money as `bills`
    settles it; the payer is `several` where several paid.
    """
    kept = np.flatnonzero(leaders == np.arange(len(visits)))
    several = np.flatnonzero(repeated(leaders))
    if not len(several):
        return visits
    united = visits.iloc[kept].reset_index(drop=True)
    order = several[order_of(leaders[several], ranks[several])]
    starts = np.flatnonzero(np.append(True, leaders[order[1:]] != leaders[order[:-1]]))
    target = np.searchsorted(kept, leaders[order[starts]])
    others = [str(name) for name in united if name not in {*ADDRESS, *EARLIEST, *LATEST}]
    known = {name: _first_known(visits[name], order, starts, united[name], target) for name in others}
    known |= {name: _reached(visits[name], order, starts, united[name], target) for name in [*EARLIEST, *LATEST]}
    known |= _billed(visits.iloc[order], starts, bills.of(order), known, target)
    return pd.DataFrame({name: known.get(str(name), united[name]) for name in united}, copy=False)


def _first_known(column: pd.Series, order: np.ndarray, starts: np.ndarray, united: pd.Series, target: np.ndarray) -> pd.Series:
    """`united` with the cells `target` that are missing filled by the first value known of their group."""
    known = np.where(column.notna().to_numpy(bool)[order], np.arange(len(order)), len(order))
    first = np.minimum.reduceat(known, starts)
    fill = (first != starts) & (first < len(order))
    return _placed(united, target[fill], column.iloc[order[first[fill]]])


def _reached(column: pd.Series, order: np.ndarray, starts: np.ndarray, united: pd.Series, target: np.ndarray) -> pd.Series:
    """`united` with the cells `target` set to the earliest day of their group, the latest where the column is one of LATEST."""
    days = day_numbers(column.iloc[order])
    # days with the sign by which the smallest is the one looked for
    sign = -1 if column.name in LATEST else 1
    best = sign * np.minimum.reduceat(np.where(days == MISSING_DAY, MISSING_DAY, sign * days), starts)
    known = np.abs(best) != MISSING_DAY
    return _placed(united, target[known], pd.Series(best[known].astype("datetime64[D]")).astype(column.dtype))


def _placed(column: pd.Series, target: np.ndarray, values: pd.Series) -> pd.Series:
    """A copy of the column with `values` at the positions `target`."""
    if not len(target):
        return column
    changed = column.array.copy()
    changed[target] = values.array
    return pd.Series(changed, index=column.index, name=column.name)


def _billed(rows: pd.DataFrame, starts: np.ndarray, bills: Bills, united: dict[str, pd.Series], target: np.ndarray) -> dict[str, pd.Series]:
    """Money, hours, price basis and payer of the groups that have bills. rows, bills: of groups in company, by group and rank."""
    counts, unclear = bills.outcome == KEPT, _any(bills.outcome == UNCLEAR, starts)
    paid = _any(counts, starts)
    found = {}
    for name in ADDED:
        cells = rows[name].to_numpy(np.float64)
        if name == "total_cost":
            # a bill that names only its parts adds them to the total of one that names a total
            totalled = np.repeat(_any(counts & ~np.isnan(cells), starts), np.diff(np.append(starts, len(cells))))
            cells = np.where(totalled, bills.money, cells)
        said = counts & ~np.isnan(cells)
        # hours may stand on a row without money
        unsaid = np.nan if name in MONEY else united[name].to_numpy(np.float64)[target]
        added = np.where(_any(said, starts), np.round(np.add.reduceat(np.where(said, cells, 0.0), starts), 6), unsaid)
        found[name] = _placed(united[name], target[paid | unclear], pd.Series(np.where(unclear, np.nan, added)[paid | unclear]))
    first = np.minimum.reduceat(np.where(counts, np.arange(len(counts)), len(counts)), starts)[paid]
    for name in ("price_basis", "payer"):
        named = rows[name].iloc[first].notna().to_numpy(bool)
        found[name] = _placed(united[name], target[paid][named], rows[name].iloc[first[named]])
    shared = target[_any(bills.shared, starts)]
    found["payer"] = _placed(found["payer"], shared, pd.Series(SEVERAL, index=range(len(shared)), dtype="string"))
    return found


def _any(flags: np.ndarray, starts: np.ndarray) -> np.ndarray:
    """Per group whether any of its rows is flagged."""
    return np.asarray(np.logical_or.reduceat(flags, starts))


def told_of_money(visits: pd.DataFrame, bills: Bills) -> pd.DataFrame:
    """Bills that could not be counted, as rows for `rejects`: those in another currency or tax, and those that cannot be told from another."""
    what = {
        LEFT_OUT: ("the amount is in another currency or tax than the other bills of its visit; it was not added",
                   "one currency and tax per visit", "State a tax rate and a currency in the profiles, so that both bills become the same."),
        UNCLEAR: ("two bills of one document for one payer; nothing says which is the later one, or whether they add up",
                  "a day of report, a status, or the kinds of cost", "Map the day of the bill or the state of the order, or name the payer."),
    }
    told = []
    for outcome, (fault, wanted, remedy) in what.items():
        here = bills.outcome == outcome
        money = pd.Series(bills.money[here], dtype="string").to_numpy()
        told.append(visits.loc[here, ["file", "sheet", "row"]].assign(column="total_cost", scope="cell", what=fault, found=money, wanted=wanted, remedy=remedy))
    return pd.concat(told, ignore_index=True)
