"""Visits: events united, identifiers given, serials mended by the chain; references of other tables tied to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.bills import KEPT, SUBMITTED, Bills, settle_bills
from fleetstats.records.chains import follow_chains
from fleetstats.records.draft import Draft
from fleetstats.records.facts import MONEY
from fleetstats.records.inferred import from_chains, left_apart
from fleetstats.records.keys import visit_ids
from fleetstats.records.merging import Events, event_groups
from fleetstats.records.money_read import payments
from fleetstats.records.packed import document_form
from fleetstats.records.reasons import ESTIMATE, RESUBMITTED, SPLIT, merge_words
from fleetstats.records.uniting import leaders_of, leading_ranks, told_of_money, unite_visits

TOLD_BY = ("file", "sheet", "row", "reason", "visit_id", "shop", "document", "payer", "price_basis", *MONEY)
"""Columns of the rows of visits that are used when the records stand."""
APART = "left apart: could belong to two different visits"


@dataclass(frozen=True)
class VisitRecords:
    """visits: records of `tables.VISITS`. payments: what each payer paid of those that several paid.

    inferred: per visit_id what was inferred about its serials; identities: the same with scores, rows of `tables.IDENTITIES`.
    outcome: what became of the money, per row of the draft that was not
    refused or replaced (its index in `Draft.rows`), see `bills`.
    """

    visits: pd.DataFrame
    payments: pd.DataFrame
    inferred: pd.Series
    identities: pd.DataFrame
    outcome: pd.Series


def settle_visits(draft: Draft, first_serials: dict[str, str], elsewhere: Mapping[str, int], days: int) -> VisitRecords:
    """Records of visits. first_serials: vehicle -> unit it came with. elsewhere: how often serials stand in other tables. days: `duplicate_days`."""
    rows = draft.live
    events = event_groups(rows, days)
    ranks = leading_ranks(rows, events.groups)
    bills, leaders = settle_bills(rows, events, ranks), leaders_of(events.groups, ranks)
    united = unite_visits(rows, leaders, ranks, bills)
    united["visit_id"] = visit_ids(united)
    ids = pd.Series(united["visit_id"].to_numpy(), index=united["at"])
    draft.settle(rows["at"].to_numpy(), rows["at"].to_numpy()[leaders], _why(rows, leaders, events, bills), ids)
    draft.rejects += [_told_apart(rows, events), tables.REJECTS.conform(told_of_money(rows, bills))]
    draft.note(pd.Series(True, index=rows["at"][events.doubtful]).reindex(draft.rows.index, fill_value=False), APART)
    shares = payments(rows, bills, draft.rows["record_id"].loc[rows["at"]].to_numpy())
    outcome = pd.Series(bills.outcome, index=rows["at"].to_numpy())
    # the records hold what the rows said: of these only what ledger, names and money are told by is still needed
    del rows
    draft.keep_only(TOLD_BY)
    visits, inferred, identities = _chained(united, first_serials, elsewhere)
    draft.rejects.append(left_apart(identities, "the serial of the unit that sits in the vehicle", "Mend the serial in the file that is wrong."))
    return VisitRecords(visits, shares, inferred, identities, outcome)


def _why(rows: pd.DataFrame, leaders: np.ndarray, events: Events, bills: Bills) -> np.ndarray:
    """Reason of each merged row. A bill that counts for a leader that says it again is the other half of the same repetition."""
    equal = bills.money == bills.money[leaders]
    submitted = (bills.outcome == SUBMITTED) | ((bills.outcome == KEPT) & (bills.outcome[leaders] == SUBMITTED) & equal)
    told = {ESTIMATE: bills.revised, RESUBMITTED: submitted, SPLIT: bills.shared}
    return merge_words(rows, leaders, events.repeats, told, bills.money)


def _told_apart(rows: pd.DataFrame, events: Events) -> pd.DataFrame:
    said = rows.loc[events.doubtful, ["file", "sheet", "row"]].reset_index(drop=True)
    return tables.REJECTS.conform(said.assign(
        column="visit_id", scope="remark", what="could belong to two different visits; the row was left apart",
        found=rows.loc[events.doubtful, "document"].to_numpy(), wanted="a row that agrees with one visit alone",
        remedy="Fill the vehicle, the release day or the serials of this row, or take it out if it repeats another.",
    ))


def _chained(united: pd.DataFrame, first_serials: dict[str, str], elsewhere: Mapping[str, int]) -> tuple[pd.DataFrame, pd.Series, pd.DataFrame]:
    """The records with serials mended by the chains of their vehicles, per visit_id what was inferred, and the same with scores."""
    chained = follow_chains(united, first_serials, elsewhere)
    identities = from_chains(united, chained)
    at = united.index.get_indexer(chained.index)
    for column in ("removed_serial", "fitted_serial"):
        united[column].array[at] = chained[column].array
    inferred = pd.Series(chained["reason"].array, index=united["visit_id"].array[at], name="reason").rename_axis("visit_id")
    records = pd.DataFrame({name: united[name] for name in tables.VISITS.columns}, copy=False)
    return tables.VISITS.check(records, coded=True), inferred[(inferred != "").to_numpy(bool)], identities


def named_visits(written: pd.Series, sender: pd.Series | None, visits: Draft) -> pd.Series:
    """Identifiers of the visits that other tables name; a name that fits no visit is kept as written.

    sender: shop that the same rows name. visits: its rows have met their fate.
    """
    if not written.notna().any():
        return written
    names, form = _visit_names(visits), document_form(written)
    found = written.map(names).astype("string")
    if sender is not None:
        found = found.fillna((sender + ":" + form).map(names).astype("string"))
    return found.fillna(form.map(names).astype("string")).fillna(written)


def _visit_names(draft: Draft) -> pd.Series:
    """What a visit may be called by other tables -> visit_id: its identifier, the one given, shop and number, a number met once."""
    known = draft.rows.loc[draft.rows["record_id"].notna() & (draft.rows["fate"] != "superseded"), ["record_id", "visit_id", "shop", "document"]]
    ids = known["record_id"]
    form = document_form(known["document"])
    numbers = pd.DataFrame({"name": form, "id": ids}).drop_duplicates().dropna()
    once = numbers[~numbers["name"].duplicated(keep=False)]
    names = [
        pd.Series(ids.to_numpy(), index=ids), pd.Series(ids.to_numpy(), index=known["visit_id"]),
        pd.Series(ids.to_numpy(), index=known["shop"] + ":" + form),
        pd.Series(once["id"].to_numpy(), index=once["name"]),
    ]
    every = pd.concat(names)
    every = every[every.index.notna()]
    return every[~every.index.duplicated()].astype("string")
