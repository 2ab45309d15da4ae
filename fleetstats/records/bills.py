"""The money of rows that are one visit: which bills are added up, and which say again what another has said."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.exchange import opened
from fleetstats.records.facts import MONEY, amount
from fleetstats.records.merging import Events
from fleetstats.records.packed import MISSING_DAY, codes, day_numbers, document_form, order_of, packed, pairs_within, repeated

NONE, KEPT, COPIED, AGAIN, SUBMITTED, REPLACED, LEFT_OUT, UNCLEAR = range(8)
"""What became of the money of a row: it names none; counts; is that of a copied row; is an amount already counted; the same, sent to
the warranty; an earlier bill that a later one replaces; in another currency or tax than its visit's; cannot be told from another bill."""


@dataclass(frozen=True)
class Bills:
    """The money of rows of visits, one entry per row.

    money: amount, NaN for none. outcome: what became of it. revised: of a document of which one bill replaced another. shared: of a
    visit that several payers paid.
    """

    money: np.ndarray
    outcome: np.ndarray
    revised: np.ndarray
    shared: np.ndarray

    def of(self, where: np.ndarray) -> Bills:
        """The same of the rows `where`."""
        return Bills(self.money[where], self.outcome[where], self.revised[where], self.shared[where])


def settle_bills(visits: pd.DataFrame, events: Events, rank: np.ndarray) -> Bills:
    """What becomes of the money of every row. rank: place of a row in the order in which rows speak for their event, lowest first.

    Bills of different payers are added up, as are those of one payer that name different kinds of cost (parts on one line, labour on
    another) or stand on different documents; a credit is taken off. Of bills with one amount the first reported counts, unless they
    name different kinds or go to two payers neither of whom is the warranty. Of two bills of one document for one payer the later
    counts: by day of report, else the closed one, else the one opened later, else the one that names all kinds of the other and more.
    Where nothing says which, the money of the visit is not known.
    """
    money = amount(visits)
    outcome = np.where(np.isnan(money), NONE, KEPT)
    outcome[(events.repeats != "") & (outcome == KEPT)] = COPIED
    revised, shared = np.zeros(len(money), dtype=bool), np.zeros(len(money), dtype=bool)
    counted = np.flatnonzero(outcome == KEPT)
    at = counted[repeated(events.groups[counted])]
    if len(at):
        bills = _bills(visits, money, events.groups, rank, at)
        settled, of_two = _settled(bills)
        outcome[bills["at"]], revised[bills["at"]] = settled, of_two
        shared[bills["at"]] = _shared(bills, settled)
    return Bills(money, outcome, revised, shared)


def _bills(visits: pd.DataFrame, money: np.ndarray, groups: np.ndarray, rank: np.ndarray, at: np.ndarray) -> pd.DataFrame:
    """The bills at positions `at` by group, day of report (unknown first) and rank."""
    rows = visits.iloc[at]
    known = {name: codes(rows[name]) for name in ("shop", "payer")}
    reported = day_numbers(rows["reported_on"])
    kinds = (rows[MONEY[:3]].fillna(0) != 0).to_numpy(bool)
    bills = pd.DataFrame({
        "at": at, "group": groups[at], "rank": rank[at], "cents": np.round(money[at] * 100).astype(np.int64), "shop": known["shop"], "payer": known["payer"],
        "warranty": rows["payer"].eq("warranty").fillna(False).to_numpy(bool), "document": codes(document_form(rows["document"])),
        "basis": codes(currency_and_tax(rows["price_basis"])), "reported": reported, "opened": day_numbers(opened(rows)),
        "closed": rows["status"].eq("closed").fillna(False).to_numpy(bool), "kinds": kinds @ np.array([1, 2, 4]),
    })
    return bills.iloc[order_of(bills["group"], np.where(reported == MISSING_DAY, -MISSING_DAY, reported), bills["rank"])].reset_index(drop=True)


def currency_and_tax(basis: pd.Series) -> pd.Series:
    """'EUR 2026-01 net' -> 'EUR net': amounts of one visit differ by less than a month's price level."""
    place, distinct = pd.factorize(basis)
    short = [" ".join((str(text).split()[0], str(text).split()[-1])) for text in distinct]
    return pd.Series(np.array([*short, None], dtype=object)[place], index=basis.index, dtype="string")


def _settled(bills: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Outcome per bill, and which belong to a document of which one bill replaced another."""
    outcome = np.full(len(bills), KEPT)
    leading = bills.sort_values("rank").drop_duplicates("group").set_index("group")["basis"]
    outcome[(bills["basis"] != bills["group"].map(leading)).to_numpy(bool)] = LEFT_OUT
    _count_once(bills, outcome)
    return outcome, _revise(bills, outcome)


def _count_once(bills: pd.DataFrame, outcome: np.ndarray) -> None:
    """Of bills with one amount all but the first are marked, where they are the same bill."""
    two = np.flatnonzero(outcome == KEPT)
    _, first, amount_of = np.unique(packed(bills["group"].to_numpy()[two], bills["cents"].to_numpy()[two]), return_index=True, return_inverse=True)
    one = two[first][amount_of]
    column = {name: bills[name].to_numpy() for name in ("payer", "kinds", "warranty")}
    other_payer = (column["payer"][one] >= 0) & (column["payer"][two] >= 0) & (column["payer"][one] != column["payer"][two])
    to_warranty = column["warranty"][one] | column["warranty"][two]
    same = ((column["kinds"][one] & column["kinds"][two]) > 0) | (column["kinds"][one] == 0) | (column["kinds"][two] == 0)
    again = (one != two) & same & (~other_payer | to_warranty)
    outcome[two[again]] = np.where(other_payer[again], SUBMITTED, AGAIN)


def _revise(bills: pd.DataFrame, outcome: np.ndarray) -> np.ndarray:
    """Marks bills that a later one of their document replaces; returns which belong to such a pair."""
    revised = np.zeros(len(bills), dtype=bool)
    where = np.flatnonzero((outcome == KEPT) & (bills["cents"] >= 0).to_numpy(bool) & (bills["document"] >= 0).to_numpy(bool))
    if not len(where):
        return revised
    table = bills.iloc[where].reset_index(drop=True)
    cell = packed(table["group"].to_numpy(), table["shop"].to_numpy(), table["document"].to_numpy(), _payer_known(table))
    stale, unsure = np.zeros(len(where), dtype=bool), []
    for one, two in pairs_within(cell):
        sooner = _sooner(table.iloc[one], table.iloc[two])
        stale[one[sooner == 1]] = stale[two[sooner == -1]] = True
        revised[where[one[np.abs(sooner) == 1]]] = revised[where[two[np.abs(sooner) == 1]]] = True
        unsure.append((one[sooner == 0], two[sooner == 0]))
    outcome[where[stale]] = REPLACED
    for one, two in unsure:
        outcome[where[one[~stale[one] & ~stale[two]]]] = UNCLEAR
    torn = bills["group"].isin(bills.loc[outcome == UNCLEAR, "group"]).to_numpy(bool)
    outcome[torn & (outcome == KEPT)] = UNCLEAR
    return revised


def _payer_known(table: pd.DataFrame) -> np.ndarray:
    """Payer codes; a bill that names none is taken as its document's only payer's, where that is one."""
    named = table["payer"].where(table["payer"] >= 0)
    by = named.groupby([table["group"], table["shop"], table["document"]])
    only = by.transform("max").where(by.transform("max") == by.transform("min"))
    return named.fillna(only).fillna(-1).to_numpy(np.int64)


def _sooner(one: pd.DataFrame, two: pd.DataFrame) -> np.ndarray:
    """1 where `two` replaces `one`, -1 where `one` replaces `two`, 0 where one of them does but nothing says which, 2 where neither does."""
    a, b = one["kinds"].to_numpy(), two["kinds"].to_numpy()
    halves = ((a & b) == 0) & (a > 0) & (b > 0)
    reported = _later(one["reported"].to_numpy(), two["reported"].to_numpy())
    closed = two["closed"].to_numpy(np.int64) - one["closed"].to_numpy(np.int64)
    begun = _later(one["opened"].to_numpy(), two["opened"].to_numpy())
    fuller = np.where(_part_of(a, b), 1, np.where(_part_of(b, a), -1, 0))
    sign = np.select([reported != 0, closed != 0, begun != 0], [reported, closed, begun], default=fuller)
    return np.asarray(np.where(halves, 2, sign))


def _part_of(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """True where `two` names every kind of cost that `one` names, and more."""
    return np.asarray(np.logical_and((one > 0) & (one != two), (one & two) == one))


def _later(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Sign of two - one, 0 where either day is missing."""
    return np.asarray(np.where((one == MISSING_DAY) | (two == MISSING_DAY), 0, np.sign(two - one)))


def _shared(bills: pd.DataFrame, outcome: np.ndarray) -> np.ndarray:
    """True for the bills that count of visits with several payers; one that names no payer is one of its own."""
    paid = (outcome == KEPT) & (bills["cents"] != 0).to_numpy(bool)
    payers = bills.loc[paid].groupby("group")["payer"].nunique()
    return np.asarray(np.logical_and(paid, bills["group"].isin(payers.index[payers > 1])))
