"""Laws of merging that hold for any rows."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats import tables
from fleetstats.records.bills import COPIED, KEPT, NONE, settle_bills
from fleetstats.records.facts import amount
from fleetstats.records.merging import Events, event_groups
from fleetstats.records.uniting import leaders_of, leading_ranks, unite_visits

DAYS = 14
START = dt.date(2020, 5, 1)
day = st.integers(0, 30).map(lambda days: START + dt.timedelta(days=days))
ROW_COLUMNS: dict[str, st.SearchStrategy[Any]] = {
    "vehicle_id": st.sampled_from(["C-1", "C-1", "C-2", None]), "shop": st.sampled_from(["North", "South"]),
    "document": st.sampled_from(["1", "2", "R-2", "r2", None]),
    "opened_on": st.one_of(day, st.none()), "date_out": st.one_of(day, st.none()), "status": st.sampled_from(["open", "closed", None]),
    "total_cost": st.sampled_from([100.0, 100.0, 40.0, -15.0, None]), "parts_cost": st.sampled_from([100.0, 30.0, None, None]),
    "payer": st.sampled_from(["fleet", "warranty", "insurer", None]), "price_basis": st.sampled_from(["USD 2020-05 net", "USD 2020-06 net", "EUR 2020-05 net"]),
    "removed_serial": st.sampled_from(["K1", "K2", "K3", None, None]), "fitted_serial": st.sampled_from(["K1", "K2", "K3", None, None]),
    "reported_on": st.one_of(day, st.none()), "action": st.sampled_from(["ACT_DIAGNOSE", "ACT_SENT_ON"]),
}
ROW = st.fixed_dictionaries(ROW_COLUMNS)
_CROWDED = {
    "vehicle_id": st.sampled_from(["C-1", "C-2", None]), "document": st.just("7"), "total_cost": st.just(100.0),
    "opened_on": st.sampled_from([START, START + dt.timedelta(days=1)]), "date_out": st.sampled_from([START + dt.timedelta(days=2), None]),
}
CROWDED = st.fixed_dictionaries(ROW_COLUMNS | _CROWDED)
"""Rows of few days and one number: most of them could be linked."""
ROWS = st.lists(ROW, min_size=1, max_size=12) | st.lists(CROWDED, min_size=2, max_size=6)
LAW = settings(deadline=None, max_examples=60)


def typed(rows: list[dict[str, Any]]) -> pd.DataFrame:
    """Rows of visits as they come to the merging: by address, each in a file of its own."""
    said = tables.VISITS.conform(pd.DataFrame(rows, columns=[name for name in tables.VISITS.columns if name in rows[0]]))
    early = (said["date_out"] < said["opened_on"]).fillna(False).to_numpy(bool)
    n = len(rows)
    address = {"file": [f"{i:02d}.csv" for i in range(n)], "sha256": [str(i) for i in range(n)], "source": ["s"] * n, "reason": [""] * n}
    texts = {name: pd.array(column, dtype="string") for name, column in address.items()}
    return said.assign(
        date_out=said["date_out"].mask(early), **texts, sheet=pd.array([None] * n, dtype="string"), row=pd.array([2] * n, dtype="Int64"), at=np.arange(n),
    )


def partition(groups: np.ndarray, names: list[int]) -> set[frozenset[int]]:
    """The groups as sets of the rows' names."""
    return {frozenset(name for name, of in zip(names, groups, strict=True) if of == group) for group in groups}


@LAW
@given(rows=ROWS, order=st.randoms(use_true_random=False))
def test_the_order_of_rows_and_files_changes_no_group(rows: list[dict[str, Any]], order: Any) -> None:
    """Property: rows at other addresses, in another order, fall into the same groups, and the same rows are left apart."""
    names = list(range(len(rows)))
    order.shuffle(names)
    one, two = event_groups(typed(rows), DAYS), event_groups(typed([rows[name] for name in names]), DAYS)
    assert partition(one.groups, list(range(len(rows)))) == partition(two.groups, names)
    assert set(np.flatnonzero(one.doubtful)) == {names[place] for place in np.flatnonzero(two.doubtful)}


@LAW
@given(rows=ROWS, which=st.integers(0, 11))
def test_a_copy_of_any_row_merges_and_moves_no_other(rows: list[dict[str, Any]], which: int) -> None:
    """Property: a copy of a row that names a day and a vehicle or document joins its event and changes no group and no total."""
    which %= len(rows)
    row = rows[which]
    if (row["opened_on"] is None and row["date_out"] is None) or (row["vehicle_id"] is None and row["document"] is None):
        return
    before, after = typed(rows), typed([*rows, row])
    if before["opened_on"].isna()[which] and before["date_out"].isna()[which]:
        return
    one, two = event_groups(before, DAYS), event_groups(after, DAYS)
    assert two.groups[-1] == two.groups[which]
    assert partition(one.groups, list(range(len(rows)))) == partition(two.groups[:-1], list(range(len(rows))))
    assert sorted(_united(before, one)["total_cost"].dropna()) == sorted(_united(after, two)["total_cost"].dropna())


@LAW
@given(stay=st.integers(0, 14), gap=st.integers(0, 14), second=ROW)
def test_a_come_back_never_merges(stay: int, gap: int, second: dict[str, Any]) -> None:
    """Property: an order opened on the day of release or after it stays its own visit, whatever number, amount and shop it has."""
    released = START + dt.timedelta(days=stay)
    opened = released + dt.timedelta(days=gap + (stay == 0))
    first = second | {"vehicle_id": "C-1", "opened_on": START, "date_out": released, "status": "closed"}
    again = second | {"vehicle_id": "C-1", "opened_on": opened, "date_out": opened + dt.timedelta(days=2)}
    assert len(set(event_groups(typed([first, again]), DAYS).groups)) == 2


@LAW
@given(rows=ROWS)
def test_no_event_holds_two_vehicles_or_exchanges_without_a_common_unit(rows: list[dict[str, Any]]) -> None:
    """Property: within an event one vehicle at most is named, and two rows that both name a removed and a fitted unit share one."""
    visits = typed(rows)
    for group in partition(event_groups(visits, DAYS).groups, list(range(len(rows)))):
        some = visits.iloc[sorted(group)]
        assert some["vehicle_id"].nunique() <= 1
        exchanges = some.dropna(subset=["removed_serial", "fitted_serial"])[["removed_serial", "fitted_serial"]].to_numpy()
        assert all(a[0] == b[0] or a[1] == b[1] or set(a) == set(b) or len(set(a)) == 1 or len(set(b)) == 1 for a in exchanges for b in exchanges)


@LAW
@given(rows=ROWS)
def test_money_is_neither_made_nor_lost(rows: list[dict[str, Any]]) -> None:
    """Property: the money of the united visits is that of the rows whose bills are kept; copies keep none, and rows without money have no outcome."""
    visits = typed(rows)
    events = event_groups(visits, DAYS)
    bills = settle_bills(visits, events, leading_ranks(visits, events.groups))
    assert np.nansum(amount(_united(visits, events))) == np.nansum(bills.money[bills.outcome == KEPT]).round(2)
    assert ((bills.outcome == NONE) == np.isnan(bills.money)).all()
    assert (bills.outcome[(events.repeats != "") & ~np.isnan(bills.money)] == COPIED).all()


def _united(visits: pd.DataFrame, events: Events) -> pd.DataFrame:
    ranks = leading_ranks(visits, events.groups)
    return unite_visits(visits, leaders_of(events.groups, ranks), ranks, settle_bills(visits, events, ranks))


def test_a_thousand_rows_of_one_vehicle_in_one_stay_are_settled_quickly() -> None:
    """2,000 overlapping orders that name 200 units: no group holds two exchanges that differ, and the work does not explode."""
    days = [START + dt.timedelta(days=i // 10) for i in range(2000)]
    rows = [
        {"vehicle_id": "POOL", "shop": "North", "document": str(i), "opened_on": opened, "date_out": opened + dt.timedelta(days=5),
         "status": "closed", "removed_serial": f"K{i}" if i % 10 == 0 else None} for i, opened in enumerate(days)
    ]
    visits = typed(rows)
    groups = event_groups(visits, DAYS).groups
    assert visits.assign(group=groups).groupby("group")["removed_serial"].nunique().max() == 1


