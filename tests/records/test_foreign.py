"""Numbers that are no unit's, found for all vehicles at once."""

from __future__ import annotations

from collections import Counter, defaultdict

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.records import scoring
from fleetstats.records.distinct import distinct
from fleetstats.records.foreign import AGAINST_AT_LEAST, FOREIGN_SHARE, ONE_PAPER, VEHICLES_AT_LEAST, foreign_serials
from fleetstats.records.scoring import Match, match
from fleetstats.records.serials import Forms
from fleetstats.records.spelling import folded, loose, normal, one_sign_apart, pattern

Visit = tuple[str | None, pd.Timestamp, str | None, str | None]
SERIALS = st.sampled_from(["K10", "K1O", "K11", "K25", "RF-1", "RF-2", "RF-34", "A9B", None])
VISITS = st.lists(st.tuples(st.sampled_from(["a", "b", "c", None]), st.integers(0, 9), SERIALS, SERIALS), max_size=14)


def _plain(visits: list[Visit], first: dict[str, str], units: set[str]) -> dict[str, Match]:
    """The rule of `foreign_serials`, told vehicle by vehicle and text by text."""
    pairs = []
    for vehicle in {at for at, *_ in visits if at}:
        sitting, before = first.get(vehicle), None
        for _, _, out, put in sorted((visit for visit in visits if visit[0] == vehicle), key=lambda visit: visit[1]):
            # the rows of one exchange count once
            pairs += [(sitting, out)] if sitting and out and (out, put) != before else []
            sitting, before = put, (out, put)
    return _judged(visits, pairs, units)


def _judged(visits: list[Visit], pairs: list[tuple[str, str]], units: set[str]) -> dict[str, Match]:
    agreeing = units | {put for put, out in pairs if _alike(put, out)}
    against = {text for pair in pairs if not _alike(*pair) for text in pair}
    doubtful = {text for visit in visits for text in visit[2:] if text} - agreeing
    good, every, bad = (Counter(map(pattern, some)) for some in (agreeing, doubtful, doubtful & against))
    odd = {shape for shape in bad if bad[shape] >= AGAINST_AT_LEAST and good[shape] <= FOREIGN_SHARE * (good[shape] + every[shape])
           and 2 * bad[shape] >= every[shape]}
    found = {}
    for text in doubtful:
        facts = [scoring.FOREIGN, scoring.SEVERAL] if pattern(text) in odd else []
        facts += [scoring.STAYS] if _stays(text, visits) else []
        facts += [scoring.MANY] if len({visit[0] for visit in visits if visit[0] and text in visit[2:]}) >= VEHICLES_AT_LEAST else []
        if facts:
            found[text] = match([*facts, *([scoring.BREAKS] if text in against else [])])
    return found


def _alike(one: str, other: str) -> bool:
    return folded(one) == folded(other) or loose(one) == loose(other) or one_sign_apart(normal(one), normal(other)) is not None


def _stays(text: str, visits: list[Visit]) -> bool:
    taken = defaultdict(list)
    for vehicle, day, out, put in visits:
        if vehicle and out == text and put:
            taken[vehicle].append((day, put))
    apart = [len({put for _, put in some}) > 2 and max(some)[0] - min(some)[0] > ONE_PAPER for some in taken.values()]
    return any(apart) and all(visit[3] != text for visit in visits)


@settings(max_examples=60, deadline=None)
@given(VISITS, st.dictionaries(st.sampled_from("ab"), st.sampled_from(["K10", "RF-1"])))
def test_what_is_foreign_is_what_the_rule_says_text_by_text(drawn: list[tuple[str | None, int, str | None, str | None]], first: dict[str, str]) -> None:
    """Visits of a few vehicles with units, misreadings and numbers of another pattern: the same texts with the same scores."""
    visits = [(vehicle, pd.Timestamp("2020-01-01") + pd.Timedelta(days=25 * day), out, put) for vehicle, day, out, put in drawn if out or put]
    units = set(first.values())
    vehicle, out, put = (pd.Series([visit[part] for visit in visits], dtype="string") for part in (0, 2, 3))
    vehicles = distinct([vehicle, pd.Series(list(first), dtype="string")])
    serials = distinct([out, put, pd.Series(sorted(units), dtype="string")])
    came_with = np.full(len(vehicles.texts), -1)
    came_with[vehicles.places[1]] = [serials.texts.tolist().index(unit) for unit in first.values()]
    days = pd.Series([visit[1] for visit in visits], dtype="datetime64[s]")
    rows = pd.DataFrame({"vehicle_id": vehicles.places[0], "removed_serial": serials.places[0], "fitted_serial": serials.places[1]}).assign(
        complaint_on=days, opened_on=days, date_in=days, date_out=days)
    found = foreign_serials(rows, came_with, np.isin(serials.texts, sorted(units)), Forms.of(serials.texts))
    assert {serials.texts[place]: one for place, one in found.items()} == _plain(visits, first, units)
