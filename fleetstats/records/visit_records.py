"""Visits: events united, identifiers given, serials mended by the chain; checks and references tied to them."""

from __future__ import annotations

import pandas as pd

from fleetstats import tables
from fleetstats.records.chains import follow_chains
from fleetstats.records.draft import Draft
from fleetstats.records.exchange import opened
from fleetstats.records.keys import visit_ids
from fleetstats.records.merging import document_form, event_groups
from fleetstats.records.uniting import unite_visits


def settle_visits(draft: Draft, first_serials: dict[str, str], days: int) -> tuple[pd.DataFrame, pd.Series]:
    """Records of visits, and per visit_id what was inferred about its serials. days: `duplicate_days`."""
    rows = draft.live
    groups, why = event_groups(rows.drop(columns="at"), days)
    united = unite_visits(rows, groups)
    united = united.assign(_opened=opened(united)).sort_values(["_opened", "file", "sheet", "row"], kind="stable", ignore_index=True)
    united["visit_id"] = visit_ids(united)
    draft.settle(rows["at"].to_numpy(), groups, why, united["at"].to_numpy(), united.set_index("group")["visit_id"])
    chained = follow_chains(united, first_serials)
    for column in ("removed_serial", "fitted_serial"):
        united.loc[chained.index, column] = chained[column]
    inferred = chained["reason"].set_axis(united.loc[chained.index, "visit_id"])
    return tables.VISITS.check(united[list(tables.VISITS.columns)]), inferred[inferred != ""]


def visit_names(draft: Draft) -> pd.Series:
    """What a visit may be called by other tables -> visit_id: its identifier, the one given, shop and number, a number met once."""
    known = draft.rows[draft.rows["record_id"].notna() & (draft.rows["fate"] != "superseded")]
    ids = known["record_id"]
    numbers = pd.DataFrame({"name": document_form(known["document"]), "id": ids}).drop_duplicates().dropna()
    once = numbers[~numbers["name"].duplicated(keep=False)]
    names = [
        pd.Series(ids.to_numpy(), index=ids), pd.Series(ids.to_numpy(), index=known["visit_id"]),
        pd.Series(ids.to_numpy(), index=known["shop"] + ":" + document_form(known["document"])),
        pd.Series(once["id"].to_numpy(), index=once["name"]),
    ]
    every = pd.concat(names)
    every = every[every.index.notna()]
    return every[~every.index.duplicated()].astype("string")


def named_visits(written: pd.Series, sender: pd.Series | None, names: pd.Series) -> pd.Series:
    """Identifiers of the visits that other tables name; a name that fits no visit is kept as written."""
    form = document_form(written)
    found = written.map(names).astype("string")
    if sender is not None:
        found = found.fillna((sender + ":" + form).map(names).astype("string"))
    return found.fillna(form.map(names).astype("string")).fillna(written)
