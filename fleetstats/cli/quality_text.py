"""The quality account as text: fields, delays, gaps with what they cost, control totals."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

import pandas as pd

from fleetstats.cli.text import pairs, table
from fleetstats.figures.words import percent
from fleetstats.records import QualityAccount


def quality_text(quality: QualityAccount) -> str:
    """What is missing and what it costs first; then the numbers behind it."""
    first = (*_gaps(quality), *_totals(quality.totals), *_merged(quality.merged))
    return "\n\n".join((*first, _complete(quality.completeness), _late(quality.lateness), *_cautions(quality)))


def _gaps(quality: QualityAccount) -> Iterator[str]:
    if quality.gaps:
        lines = [line for gap in quality.gaps for line in ((percent(gap.count / gap.of), gap.sentence), ("", f"-> {gap.remedy}"))]
        yield f"What is missing, what it costs, and what to do:\n{pairs(lines)}"


def _merged(merged: pd.DataFrame) -> Iterator[str]:
    if len(merged):
        by = merged.groupby(["code", "meaning"], sort=False)[["rows"]].sum().reset_index().sort_values("rows", ascending=False, kind="stable")
        yield "Rows that were merged, and why:\n" + pairs((f"{row['rows']:,}", f"{row['code']}: {row['meaning']}") for row in by.to_dict("records"))


def _complete(completeness: pd.DataFrame) -> str:
    """One line per field that is missing somewhere: all sources, the weakest one, and its trend; the others by name."""
    rows, whole_ones = [], []
    for (name, field), group in completeness.groupby(["table", "field"], sort=False):
        weakest = group.sort_values(["share", "source"]).iloc[0]
        whole = group["filled"].sum() / max(1, group["wanted"].sum())
        if weakest["share"] < 1:
            named = f"{weakest['source']} {percent(float(weakest['share']))}"
            rows.append([name, field, int(group["wanted"].sum()), percent(float(whole)), named, _trend(weakest)])
        else:
            whole_ones.append(f"{field} ({name})")
    always = textwrap.fill(f"Filled in every record: {', '.join(whole_ones)}.", 110) if whole_ones else ""
    shown = table(["table", "field", "records", "filled", "weakest source", "its trend"], rows) if rows else ""
    return "\n".join(part for part in ("How often a field stands where it should:", shown, always) if part)


def _trend(row: pd.Series) -> str:
    return "" if pd.isna(row["trend"]) or abs(row["trend"]) < 0.005 else f"{100 * row['trend']:+.0f} points"


def _late(lateness: pd.DataFrame) -> str:
    rows = [[row["table"], row["source"], int(row["records"]), f"{row['median_days']:.0f}", "" if pd.isna(row["before_days"]) else f"{row['before_days']:.0f}"]
            for row in lateness.to_dict("records")]
    return "Days from the work to its report, the last four quarters of each source against those before:\n" + table(
        ["table", "source", "records", "days now", "days before"], rows)


def _totals(totals: pd.DataFrame) -> Iterator[str]:
    if len(totals):
        rows = [[row["file"], row["payer"] or "all", f"{row['stated']:,.2f}", f"{row['read']:,.2f}", f"{row['difference']:,.2f}",
                 "agrees" if row["verdict"] == "agrees" else "see below"]
                for row in totals.to_dict("records")]
        told = [f"-> {row['file']}, {row['payer'] or 'all'}: {row['verdict']}." for row in totals.to_dict("records") if row["difference"]]
        yield "\n".join(["Control totals, net, as entered in control.toml and as read:", table(["file", "payer", "entered", "read", "difference", ""], rows),
                         *(textwrap.fill(line, 110, subsequent_indent="   ") for line in told if not line.endswith("agrees."))])


def _cautions(quality: QualityAccount) -> Iterator[str]:
    if quality.cautions:
        yield "Cautions:\n" + "\n".join(f"- {text}" for text in quality.cautions)


def write_figure(quality: QualityAccount, path: Path) -> None:
    """The figure of complete and missing fields of the visits as a drawing of its own."""
    from fleetstats import figures

    fields = quality.completeness.loc[quality.completeness["table"] == "visits", "field"].nunique()
    note = "Share of the visits in which a field should stand and does; sources with fewer than 10 such visits have no dot."
    ax = figures.field_completeness(quality.completeness, note=note, ax=figures.page_axes(1.2 + 0.3 * fields))
    drawing = figures.svg(ax, "completeness", "How complete the fields of the visits are", figures.field_completeness_alt(quality.completeness))
    path.write_text(drawing.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" ', 1), encoding="utf-8")
