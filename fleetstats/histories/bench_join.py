"""Which bench test judged which removed unit."""

from __future__ import annotations

import pandas as pd

from fleetstats.records.exchange import day_of

VEHICLE_DAYS = 365
"""A test that names only the vehicle belongs to its last removal within this many days."""
DEFINITE = ("fault confirmed", "no fault found", "restarted")


def known_tests(tests: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """Tests of units as received (opened before it is no verdict on the removal) that were known by as_of, with `day`."""
    reported = day_of(tests, "reported_on", "tested_on", "received_on")
    kept = tests[(tests["as_received"].fillna(True) & (reported <= as_of) & tests["outcome"].notna()).to_numpy(bool)]
    return kept.assign(day=day_of(kept, "tested_on", "received_on", "reported_on")).reset_index(drop=True)


def join_tests(stays: pd.DataFrame, tests: pd.DataFrame) -> tuple[pd.DataFrame, int]:
    """The verdict on each removed unit, and how many tests name no removal the records know.

    A test joins by the visit it names; else by serial, to the last removal of that serial on or before the test; else by
    vehicle, to a removal within VEHICLE_DAYS before it whose serial does not differ: one that no other test judges, one
    whose complaint is the sender's, the last one, in this order. Of several tests of one removal the first definite one
    counts. Returns columns bench_outcome, bench, bench_test_id, why_tested by the index of `stays`.
    """
    ends = stays[stays["ended_by"].notna()]
    at = tests["visit_id"].map(pd.Series(ends.index, index=ends["ended_by"])).astype("Int64")
    at = at.fillna(_by_serial(tests[at.isna()], ends).reindex(tests.index))
    at = at.fillna(_by_vehicle(tests[at.isna()], ends, at.dropna()).reindex(tests.index))
    joined = tests.assign(at=at, definite=tests["outcome"].isin(DEFINITE))
    joined = joined[at.notna()].sort_values(["definite", "day", "bench_test_id"], ascending=[False, True, True], kind="stable").drop_duplicates("at")
    verdicts = joined.set_index(joined["at"].astype("int64"))[["outcome", "bench", "bench_test_id", "why_tested"]]
    return verdicts.rename(columns={"outcome": "bench_outcome"}).reindex(stays.index), int(at.isna().sum())


def _by_serial(tests: pd.DataFrame, ends: pd.DataFrame) -> pd.Series:
    """Index of the last removal of the test's serial on or before the test."""
    asked = tests[["serial", "day"]].assign(test=tests.index).dropna().sort_values("day")
    taken = ends[["serial", "ended"]].assign(stay=ends.index).dropna().sort_values("ended", kind="stable")
    if asked.empty or taken.empty:
        return pd.Series(dtype="Int64")
    found = pd.merge_asof(asked, taken, left_on="day", right_on="ended", by="serial")
    return found.set_index("test")["stay"].astype("Int64")


def _by_vehicle(tests: pd.DataFrame, ends: pd.DataFrame, judged: pd.Series) -> pd.Series:
    """Index of the removal in the test's vehicle that fits it best."""
    asked = tests[["vehicle_id", "serial", "day", "sender_symptom"]].assign(test=tests.index).dropna(subset=["vehicle_id", "day"])
    taken = ends[["vehicle_id", "serial", "ended", "symptom"]].assign(stay=ends.index, judged=ends.index.isin(judged))
    pairs = asked.merge(taken, on="vehicle_id", suffixes=("", "_removed"))
    since = pairs["day"] - pairs["ended"]
    fits = (since >= pd.Timedelta(0)) & (since <= pd.Timedelta(days=VEHICLE_DAYS))
    fits &= ~(pairs["serial"] != pairs["serial_removed"]).fillna(False).astype(bool)
    other = ~(pairs["sender_symptom"] == pairs["symptom"]).fillna(False).astype(bool)
    ranked = pairs.assign(other=other, since=since)[fits].sort_values(["judged", "other", "since"], kind="stable")
    return ranked.drop_duplicates("test").set_index("test")["stay"].astype("Int64")
