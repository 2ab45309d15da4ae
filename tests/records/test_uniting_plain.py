"""What is found by sorting numbers and looking at few texts, against the same rules said row by row."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats import tables
from fleetstats.records import chains
from fleetstats.records.chains import follow_chains
from fleetstats.records.facts import facts_of
from fleetstats.records.keys import visit_ids
from fleetstats.records.kinship import FORMS, Kinship
from fleetstats.records.merging import copied_files, same_document
from fleetstats.records.overlaps import overlapping
from fleetstats.records.scoring import SPELLING
from fleetstats.records.spelling import normal
from tests.records.test_merging_laws import DAYS, LAW, ROWS, typed

Pairs = set[tuple[int, int]]
SIGNS = "0O1IL5SA9-"
SERIALS = ["K100", "K1OO", "K200", "K201", "00200", "200", "K300", None]


def _pairs(links: tuple[np.ndarray, np.ndarray]) -> Pairs:
    return {(min(pair), max(pair)) for pair in zip(*(side.tolist() for side in links), strict=True)}


def _plain(visits: pd.DataFrame) -> list[dict[str, Any]]:
    """Rows as plain Python, None where a value is missing, with the day each began."""
    rows = [{name: None if pd.isna(value) else value for name, value in row.items()} for row in visits.to_dict("records")]
    for row in rows:
        parts = [row[name] for name in ("parts_cost", "labour_cost", "other_cost") if row[name] is not None]
        row["money"] = row["total_cost"] if row["total_cost"] is not None else round(sum(parts), 2) if parts else None
        row["begun"] = next((row[name] for name in ("opened_on", "date_in", "complaint_on", "date_out") if row[name] is not None), None)
    return rows


def _one_document(a: dict[str, Any], b: dict[str, Any]) -> bool:
    named = all(row["document"] is not None and row["money"] is not None for row in (a, b))
    vehicle = a["vehicle_id"] == b["vehicle_id"] or None in (a["vehicle_id"], b["vehicle_id"])
    a_day = any(a[name] is not None and a[name] == b[name] for name in ("begun", "date_in", "date_out"))
    return named and vehicle and a_day and a["money"] == b["money"] and normal(a["document"]) == normal(b["document"])


@LAW
@given(rows=ROWS)
def test_rows_of_one_document_are_those_that_agree_pair_by_pair(rows: list[dict[str, Any]]) -> None:
    """Property: linked are exactly the pairs that agree in document, amount and a date and do not name two vehicles."""
    visits, n = typed(rows), len(rows)
    plain = _plain(visits)
    wanted = {(i, j) for i in range(n) for j in range(i + 1, n) if _one_document(plain[i], plain[j])}
    assert _pairs(same_document(visits, facts_of(visits), np.ones(n, dtype=bool))) == wanted


def _closed(row: dict[str, Any]) -> bool:
    return row["status"] == "closed" or (row["status"] is None and row["money"] is not None)


def _place(row: dict[str, Any]) -> tuple[Any, ...]:
    released = row["date_out"] or pd.Timestamp.max
    return row["vehicle_id"], row["begun"], released, not _closed(row), row["action"] == "ACT_SENT_ON", row["shop"]


def _release(line: list[dict[str, Any]], n: int) -> pd.Timestamp:
    row = line[n]
    mates = [one for one in line if (one["vehicle_id"], one["begun"]) == (row["vehicle_id"], row["begun"])]
    known = [one["date_out"] or one["begun"] for one in mates if one["date_out"] or _closed(one)]
    if row["date_out"] or _closed(row):
        return row["date_out"] or row["begun"]
    if known:
        return max(known)
    follows = n + 1 < len(line) and line[n + 1]["vehicle_id"] == row["vehicle_id"]
    return line[n + 1]["begun"] + pd.Timedelta(days=1) if follows else row["begun"]


@LAW
@given(rows=ROWS)
def test_rows_that_overlap_are_those_of_the_rule_said_pair_by_pair(rows: list[dict[str, Any]]) -> None:
    """Property: linked are the rows of a vehicle of which the second begins with the first or before its release, none of two shops after sending on."""
    visits = typed(rows)
    line = [row for row in _plain(visits) if row["vehicle_id"] is not None and row["begun"] is not None]
    line.sort(key=_place)
    wanted = set()
    for n, a in enumerate(line):
        for b in line[n + 1:]:
            near = a["vehicle_id"] == b["vehicle_id"] and (b["begun"] - a["begun"]).days <= DAYS
            together = a["begun"] == b["begun"]
            sent_on = a["action"] == "ACT_SENT_ON" or (together and b["action"] == "ACT_SENT_ON")
            if near and (together or b["begun"] < _release(line, n)) and not (sent_on and a["shop"] != b["shop"]):
                wanted.add((min(a["at"], b["at"]), max(a["at"], b["at"])))
    assert _pairs(overlapping(visits, facts_of(visits), np.ones(len(rows), dtype=bool), DAYS)) == wanted


@given(places=st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from("xy"), st.integers(2, 3)), min_size=1, max_size=8))
def test_files_with_the_same_bytes_are_found_wherever_their_rows_stand(places: list[tuple[str, str, int]]) -> None:
    """Property: linked in a chain are the rows at one place of files of which another has the same bytes, whatever the order of rows."""
    rows = pd.DataFrame(places, columns=["file", "sha256", "row"]).astype({"file": "string", "sha256": "string", "row": "Int64"}).assign(
        sheet=pd.array([None] * len(places), dtype="string"))
    shared = {digest for digest in "xy" if len({file for file, other, _ in places if other == digest}) > 1}
    cells = Counter((digest, row) for _, digest, row in places if digest in shared)
    assert len(_pairs(copied_files(rows))) == sum(count - 1 for count in cells.values())


EXCHANGE = st.tuples(
    st.sampled_from(["C-1", "C-2"]), st.sampled_from(SERIALS), st.sampled_from(SERIALS), st.sampled_from(["new", "own unit put back"]), st.integers(0, 5),
)


@settings(deadline=None, max_examples=150)
@given(exchanges=st.lists(EXCHANGE, max_size=8), first=st.sampled_from(SERIALS))
def test_a_chain_that_is_not_walked_is_one_that_a_walk_leaves_as_it_is(exchanges: list[tuple[Any, ...]], first: str | None) -> None:
    """Property: walking every chain gives what walking only those gives that are not plain."""
    rows = [
        {"visit_id": str(n), "vehicle_id": vehicle, "removed_serial": out, "fitted_serial": put, "fitted_origin": origin, "fitted_kind": "unit",
         "date_in": f"201{year}-05-01"} for n, (vehicle, out, put, origin, year) in enumerate(exchanges)
    ]
    visits = tables.VISITS.conform(pd.DataFrame(rows, columns=list(tables.VISITS.columns)))
    known = {"C-1": first} if first else {}
    found = follow_chains(visits, known)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chains, "plain_exchanges", lambda removed, *rest: np.zeros(len(removed), dtype=bool))
        pd.testing.assert_frame_equal(found, follow_chains(visits, known))


@settings(deadline=None, max_examples=500)
@given(one=st.text(SIGNS, max_size=5), other=st.text(SIGNS, max_size=5))
def test_two_serials_are_one_by_the_first_form_that_is_the_same(one: str, other: str) -> None:
    """Property: a look at the last signs decides nothing otherwise than the forms do."""
    wanted = SPELLING if one == other else next((seen for seen, form in FORMS if form(one) and form(one) == form(other)), None)
    way = Kinship([], {}).way(one, other)
    assert way == wanted


@given(rows=st.lists(st.tuples(st.sampled_from(["N", "N:1", None]), st.sampled_from(["1", "2", "1:2", None]), st.sampled_from(["N:1", None])), max_size=8))
def test_identifiers_are_those_given_out_one_by_one(rows: list[tuple[str | None, ...]]) -> None:
    """Property: the one given, else shop (or source) and document, else file and row; the second of one text is (2)."""
    visits = pd.DataFrame(rows, columns=["shop", "document", "visit_id"], dtype="string").assign(
        source=pd.array(["s"] * len(rows), dtype="string"), file=pd.array(["f.csv"] * len(rows), dtype="string"),
        sheet=pd.array([None] * len(rows), dtype="string"), row=pd.array(range(len(rows)), dtype="Int64"))
    met: Counter[str] = Counter()
    wanted = []
    for n, (shop, document, given_id) in enumerate(rows):
        name = given_id or (f"{shop or 's'}:{document}" if document else f"f.csv:{n}")
        met[name] += 1
        wanted.append(name if met[name] == 1 else f"{name} ({met[name]})")
    assert visit_ids(visits).tolist() == wanted
