"""The quality account: complete, valid, unique, in time, by source and field; what the gaps cost; totals held against the user's own."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd

from fleetstats.records.completeness import by_source, completeness
from fleetstats.records.control_totals import compare_totals
from fleetstats.records.delays import last_year, reporting_delays
from fleetstats.records.fleet import Fleet
from fleetstats.records.gaps import Gap, find_gaps
from fleetstats.records.merged import merge_reasons
from fleetstats.results import Result
from fleetstats.settings import Project

LATE_DAYS = 30.0
"""A growth of the usual delay by as many days is told as a caution."""

LESS = 0.10
"""So is a fall of a field's completeness by this share."""


@dataclass(frozen=True, kw_only=True)
class QualityAccount(Result):
    """What can be trusted in the records, source by source.

    completeness: table, source, field, wanted, filled, share, trend. yearly: the same by year. validity: source, column, read, refused, share, commonest
    (fault). uniqueness: source, rows, repeats, share (of rows that stand alone). merged: table, file, code, rows,
    meaning of the rows merged. delays: table, source, quarter, records, median_days, most_days, negative.
    lateness: the last four quarters against those before. gaps: what is missing, with what it costs. totals: control totals, empty where the user
    entered none.
    """

    completeness: pd.DataFrame = field(repr=False)
    yearly: pd.DataFrame = field(repr=False)
    validity: pd.DataFrame = field(repr=False)
    uniqueness: pd.DataFrame = field(repr=False)
    merged: pd.DataFrame = field(repr=False)
    delays: pd.DataFrame = field(repr=False)
    lateness: pd.DataFrame = field(repr=False)
    gaps: tuple[Gap, ...]
    totals: pd.DataFrame = field(repr=False)

    def table(self) -> pd.DataFrame:
        """One row per gap: name, count, of, sentence, remedy."""
        rows = [(gap.name, gap.count, gap.of, gap.sentence, gap.remedy) for gap in self.gaps]
        return pd.DataFrame(rows, columns=["name", "count", "of", "sentence", "remedy"])


def quality_account(project: Project, fleet: Fleet) -> QualityAccount:
    """The quality of the records in the store. Raises InputRefused where `control.toml` names a file or payer that is not there."""
    yearly = completeness(fleet)
    delays = reporting_delays(fleet)
    whole, late, totals = by_source(yearly), last_year(delays), compare_totals(project, fleet)
    return QualityAccount(
        completeness=whole, yearly=yearly, validity=_validity(fleet), uniqueness=_uniqueness(fleet), merged=merge_reasons(fleet),
        delays=delays, lateness=late, gaps=find_gaps(fleet), totals=totals, cautions=(*_worse(whole), *_later(late)), inputs=fleet.fingerprint,
    )


def _validity(fleet: Fleet) -> pd.DataFrame:
    """Cells refused, per source and column as the file calls it."""
    source = fleet.files.set_index("file")["source"]
    refused = fleet.rejects[fleet.rejects["scope"].eq("cell") & fleet.rejects["row"].notna() & fleet.rejects["column"].notna()]
    named = refused.assign(source=refused["file"].map(source).astype("string"))
    records = fleet.files.groupby("source")[["accepted", "merged", "superseded"]].sum().sum(axis=1)
    by = named.groupby(["source", "column"])
    told = by.agg(refused=("what", "size"), commonest=("what", lambda faults: faults.mode().iloc[0])).reset_index()
    told["read"] = told["source"].map(records).astype("int64") if len(told) else pd.Series(dtype="int64")
    told["share"] = 1 - (told["refused"] / told["read"].clip(lower=1)).clip(upper=1)
    return told.sort_values(["share", "source", "column"], ignore_index=True)[["source", "column", "read", "refused", "share", "commonest"]]


def _uniqueness(fleet: Fleet) -> pd.DataFrame:
    """Rows that became records, and those that repeat one, per source."""
    by = fleet.files.groupby("source", as_index=False)[["accepted", "merged"]].sum()
    rows = by["accepted"] + by["merged"]
    share = (by["accepted"] / rows.clip(lower=1)).astype("float64").where(rows > 0)
    return pd.DataFrame({"source": by["source"], "rows": rows, "repeats": by["merged"], "share": share})


def _worse(whole: pd.DataFrame) -> list[str]:
    fallen = whole[whole["trend"] <= -LESS].sort_values("trend")
    return [f"{row['field']} of {row['source']} ({row['table']}) is filled less often than before: {-100 * row['trend']:.0f} points lower in the later "
            "half of its years." for row in fallen.to_dict("records")]


def _later(late: pd.DataFrame) -> list[str]:
    slower = late[late["median_days"] - late["before_days"] >= LATE_DAYS]
    return [f"{row['source']} ({row['table']}) now reports {row['median_days']:.0f} days after the work, {row['before_days']:.0f} before: the last quarters "
            "are incomplete for longer." for row in slower.to_dict("records")]
