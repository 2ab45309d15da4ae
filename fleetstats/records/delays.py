"""Reporting delay: how long after the work a row became known, per source and quarter."""

from __future__ import annotations

import pandas as pd

from fleetstats.records.fleet import Fleet
from fleetstats.records.sourced import sourced


def reporting_delays(fleet: Fleet) -> pd.DataFrame:
    """One row per table, source and quarter of the work: table, source, quarter, records, median_days, most_days (of nine in ten), negative.

    Delay: days from the last date of the record to `reported_on`. negative: records reported before the work ended. Where a source does not
    say when a row became known, its profile's usual delay was assumed, and every quarter shows the same.
    """
    parts = [_by_quarter(sourced(fleet, table), table) for table in ("visits", "bench_tests")]
    return pd.concat([part for part in parts if len(part)] or parts[:1], ignore_index=True)


def _by_quarter(records: pd.DataFrame, table: str) -> pd.DataFrame:
    known = records[records["reported_on"].notna() & records["day"].notna() & records["source"].notna()]
    days = (known["reported_on"] - known["day"]).dt.days.astype("float64")
    quarter = known["day"].dt.year.astype("string") + "-Q" + known["day"].dt.quarter.astype("string")
    by = pd.DataFrame({"source": known["source"], "quarter": quarter, "days": days, "early": days < 0}).groupby(["source", "quarter"])
    told = by.agg(records=("days", "size"), median_days=("days", "median"), negative=("early", "sum"))
    told["most_days"] = by["days"].quantile(0.9)
    order = ["table", "source", "quarter", "records", "median_days", "most_days", "negative"]
    return told.reset_index().assign(table=table)[order].astype({"table": "string", "source": "string", "quarter": "string"})


def last_year(delays: pd.DataFrame) -> pd.DataFrame:
    """Per table and source, the records of the last four quarters it reports against those before: table, source, records, median_days, before_days.

    Medians are those of the quarters, weighted by their records; before_days is missing where there is nothing before.
    """
    rank = delays.groupby(["table", "source"])["quarter"].rank(method="dense", ascending=False)
    late, early = (_weighted(delays[part]) for part in (rank <= 4, rank > 4))
    joined = late.merge(early[["table", "source", "median_days"]], on=["table", "source"], how="left", suffixes=("", "_before"))
    return joined.rename(columns={"median_days_before": "before_days"})


def _weighted(delays: pd.DataFrame) -> pd.DataFrame:
    weighted = delays.assign(total=delays["median_days"] * delays["records"]).groupby(["table", "source"])[["records", "total"]].sum().reset_index()
    return weighted.assign(median_days=weighted["total"] / weighted["records"]).drop(columns="total")
