"""Rows of one event made one record: which row leads, what is earliest, what is added up."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.bills import KEPT, LEFT_OUT, UNCLEAR, Bills
from fleetstats.records.exchange import is_exchange, opened
from fleetstats.records.facts import MONEY, amount
from fleetstats.records.packed import MISSING_DAY, day_numbers, order_of, repeated
from fleetstats.records.stacking import taken

ADDED = [*MONEY, "labour_hours"]
EARLIEST = ["complaint_on", "opened_on", "date_in", "reported_on"]
LATEST = ["date_out"]
ADDRESS = ["file", "sheet", "row", "sha256", "source", "reason", "at"]
SPEAKING = ["fitted_kind", "fitted_serial", "removal_reason", "complaint_on", "opened_on", "date_in", "date_out", *MONEY]
"""Columns that say which row speaks for its event."""
SEVERAL = "several"
"""The payer of a visit that several paid; what each paid stands in `payments`."""


def leading_ranks(visits: pd.DataFrame, groups: np.ndarray) -> np.ndarray:
    """Place of each row in the order in which rows speak for their event; 0 for those that stand alone. visits: by address.

    A row that names an exchange comes first, then one with a release day, then one with money, then the earlier one, then by address, so that
    a telephone report read from an earlier file does not give the event its shop and number.
    """
    several = np.flatnonzero(repeated(groups))
    rows = pd.DataFrame({name: visits[name].array.take(several) for name in SPEAKING}, copy=False)
    unreleased, unbilled = rows["date_out"].isna().to_numpy(bool), np.isnan(amount(rows))
    order = order_of(~is_exchange(rows).to_numpy(bool), unreleased, unbilled, day_numbers(opened(rows)))
    ranks = np.zeros(len(visits), dtype=np.int64)
    ranks[several[order]] = np.arange(len(several))
    return ranks


def leaders_of(groups: np.ndarray, ranks: np.ndarray) -> np.ndarray:
    """Per row the position of the row of its group with the lowest rank."""
    leaders = np.arange(len(groups))
    several = np.flatnonzero(repeated(groups))
    order = several[order_of(groups[several], ranks[several])]
    begins = np.append(True, groups[order[1:]] != groups[order[:-1]])[:len(order)]
    leaders[order] = order[begins][np.cumsum(begins) - 1]
    return leaders


def unite_visits(visits: pd.DataFrame, leaders: np.ndarray, ranks: np.ndarray, bills: Bills) -> pd.DataFrame:
    """One row per event, by the day it was opened, then in the order of the leading rows' positions, with the address of its leading row.

    leaders: position of the leader, per row.
    The earliest complaint, order, arrival and report, the latest release, the first value known of everything else; money as `bills`
    settles it; the payer is `several` where several paid.
    """
    several = np.flatnonzero(repeated(leaders))
    several = several[order_of(leaders[several], ranks[several])]
    starts = np.flatnonzero(np.append(True, leaders[several[1:]] != leaders[several[:-1]])[:len(several)])
    rows, led = taken(visits, several), leaders[several[starts]]
    days = {name: visits[name].array.copy() for name in (*EARLIEST, *LATEST)}
    for name, column in days.items():
        _reach(column, led, rows[name], starts)
    kept = np.flatnonzero(leaders == np.arange(len(visits)))
    kept = kept[order_of(day_numbers(opened(pd.DataFrame(days, copy=False)))[kept])]
    united = {str(name): days.get(str(name), visits[name].array).take(kept) for name in visits}
    place = np.empty(len(visits), dtype=np.int64)
    place[kept] = np.arange(len(kept))
    _fill(united, place[led], rows, starts, bills.of(several))
    return pd.DataFrame(united, copy=False)


Columns = dict[str, pd.api.extensions.ExtensionArray]
"""Columns of the records, which are filled in place."""


def _fill(united: Columns, target: np.ndarray, rows: pd.DataFrame, starts: np.ndarray, bills: Bills) -> None:
    """Write what the other rows of events say into the records `target`, but for their days.

    rows, bills: those of events with several rows, by event and rank. starts: where each event begins.
    """
    for name, column in united.items():
        if name not in (*EARLIEST, *LATEST, *ADDRESS):
            _complete(column, target, rows[name], starts)
    _bill(united, target, rows, starts, bills)


def _complete(column: pd.api.extensions.ExtensionArray, target: np.ndarray, said: pd.Series, starts: np.ndarray) -> None:
    """Fill what the leading row does not say by the first value known of the event."""
    first = _first(said.notna().to_numpy(bool), starts)
    fill = (first != starts) & (first < len(said))
    column[target[fill]] = said.array[first[fill]]


def _reach(column: pd.api.extensions.ExtensionArray, target: np.ndarray, said: pd.Series, starts: np.ndarray) -> None:
    """Set the earliest day of each event, the latest where the column is one of LATEST."""
    days = day_numbers(said)
    # days with the sign by which the smallest is the one looked for
    sign = -1 if said.name in LATEST else 1
    best = sign * np.minimum.reduceat(np.where(days == MISSING_DAY, MISSING_DAY, sign * days), starts)
    known = np.abs(best) != MISSING_DAY
    column[target[known]] = pd.Series(best[known].astype("datetime64[D]")).astype(said.dtype).array


def _bill(united: Columns, target: np.ndarray, rows: pd.DataFrame, starts: np.ndarray, bills: Bills) -> None:
    """Money, hours, price basis and payer of the events that have bills."""
    counts, unclear = bills.outcome == KEPT, _any(bills.outcome == UNCLEAR, starts)
    paid = _any(counts, starts)
    for name in ADDED:
        cells = rows[name].to_numpy(np.float64)
        if name == "total_cost":
            # a bill that names only its parts adds them to the total of one that names a total
            totalled = np.repeat(_any(counts & ~np.isnan(cells), starts), np.diff(np.append(starts, len(cells))))
            cells = np.where(totalled, bills.money, cells)
        said = counts & ~np.isnan(cells)
        # hours may stand on a row without money
        unsaid = np.nan if name in MONEY else np.asarray(united[name])[target]
        added = np.where(_any(said, starts), np.round(np.add.reduceat(np.where(said, cells, 0.0), starts), 6), unsaid)
        united[name][target[paid | unclear]] = np.where(unclear, np.nan, added)[paid | unclear]
    first = _first(counts, starts)[paid]
    for name in ("price_basis", "payer"):
        of_bill = rows[name].array[first]
        united[name][target[paid][~of_bill.isna()]] = of_bill[~of_bill.isna()]
    united["payer"][target[_any(bills.shared, starts)]] = SEVERAL


def _first(flags: np.ndarray, starts: np.ndarray) -> np.ndarray:
    """Per event the first of its rows that is flagged, len(flags) for none."""
    return np.asarray(np.minimum.reduceat(np.where(flags, np.arange(len(flags)), len(flags)), starts))


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
        address = visits.loc[here, ["file", "sheet", "row"]]
        told.append(address.assign(column="total_cost", scope="remark", what=fault, found=money, wanted=wanted, remedy=remedy))
    return pd.concat(told, ignore_index=True)
