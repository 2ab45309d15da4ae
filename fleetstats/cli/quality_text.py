"""The quality account as text: fields, delays, gaps with what they cost, control totals."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from fleetstats.cli.text import pairs, table
from fleetstats.figures.words import percent
from fleetstats.records import QualityAccount


def quality_text(quality: QualityAccount) -> str:
    """What is missing and what it costs first; then the numbers behind it."""
    return "\n\n".join((*_gaps(quality), *_totals(quality.totals), _complete(quality.completeness), _late(quality.lateness), *_cautions(quality)))


def _gaps(quality: QualityAccount) -> Iterator[str]:
    if quality.gaps:
        yield "What is missing, and what it costs:\n" + pairs((f"{percent(gap.count / gap.of)}", f"{gap.sentence} {gap.remedy}") for gap in quality.gaps)


def _complete(completeness: pd.DataFrame) -> str:
    """One line per field: all sources, the weakest one, and its trend."""
    rows = []
    for (name, field), group in completeness.groupby(["table", "field"], sort=False):
        weakest = group.sort_values(["share", "source"]).iloc[0]
        whole = group["filled"].sum() / max(1, group["wanted"].sum())
        rows.append([name, field, int(group["wanted"].sum()), percent(float(whole)), f"{weakest['source']} {percent(float(weakest['share']))}", _trend(weakest)])
    return "How often a field stands where it should:\n" + table(["table", "field", "records", "filled", "weakest source", "its trend"], rows)


def _trend(row: pd.Series) -> str:
    return "" if pd.isna(row["trend"]) else f"{100 * row['trend']:+.0f} points"


def _late(lateness: pd.DataFrame) -> str:
    rows = [[row["table"], row["source"], int(row["records"]), f"{row['median_days']:.0f}", "" if pd.isna(row["before_days"]) else f"{row['before_days']:.0f}"]
            for row in lateness.to_dict("records")]
    return "Days from the work to its report, the last four quarters of each source against those before:\n" + table(
        ["table", "source", "records", "days now", "days before"], rows)


def _totals(totals: pd.DataFrame) -> Iterator[str]:
    if len(totals):
        rows = [[row["file"], row["payer"] or "all", f"{row['stated']:,.2f}", f"{row['read']:,.2f}", f"{row['difference']:,.2f}", row["verdict"]]
                for row in totals.to_dict("records")]
        yield "Control totals, net, as entered in control.toml and as read:\n" + table(["file", "payer", "entered", "read", "difference", ""], rows)


def _cautions(quality: QualityAccount) -> Iterator[str]:
    if quality.cautions:
        yield "Cautions:\n" + "\n".join(f"- {text}" for text in quality.cautions)
