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
    vehicle, to its last removal within VEHICLE_DAYS, unless serials differ. Of several tests of one removal the first
    definite one counts. Returns columns bench_outcome, bench, bench_test_id, why_tested by the index of `stays`.
    """
    ends = stays[stays["ended_by"].notna()]
    by_visit = tests["visit_id"].map(pd.Series(ends.index, index=ends["ended_by"]))
    at = by_visit.astype("Int64")
    at = at.fillna(_latest(tests[at.isna()], ends, "serial", None).reindex(tests.index))
    at = at.fillna(_latest(tests[at.isna()], ends, "vehicle_id", VEHICLE_DAYS).reindex(tests.index))
    joined = tests.assign(at=at, definite=tests["outcome"].isin(DEFINITE))
    joined = joined[at.notna()].sort_values(["definite", "day", "bench_test_id"], ascending=[False, True, True], kind="stable").drop_duplicates("at")
    verdicts = joined.set_index(joined["at"].astype("int64"))[["outcome", "bench", "bench_test_id", "why_tested"]]
    return verdicts.rename(columns={"outcome": "bench_outcome"}).reindex(stays.index), int(at.isna().sum())


def _latest(tests: pd.DataFrame, ends: pd.DataFrame, by: str, within: int | None) -> pd.Series:
    """Index of the last removal on or before each test with the same `by`; removals with another known serial do not count."""
    asked = tests[[by, "serial", "day"]].assign(test=tests.index).loc[:, lambda x: ~x.columns.duplicated()].dropna(subset=[by, "day"]).sort_values("day")
    taken = ends.assign(stay=ends.index, unit=ends["serial"])[[by, "unit", "ended", "stay"]].dropna(subset=by).sort_values("ended", kind="stable")
    if asked.empty or taken.empty:
        return pd.Series(dtype="Int64")
    tolerance = None if within is None else pd.Timedelta(days=within)
    found = pd.merge_asof(asked, taken, left_on="day", right_on="ended", by=by, tolerance=tolerance)
    agrees = found["unit"].isna() | found["serial"].isna() | (found["unit"] == found["serial"]).fillna(False)
    return found[agrees.astype(bool)].set_index("test")["stay"].astype("Int64")
