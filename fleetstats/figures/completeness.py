"""How complete the fields of the records are, source by source."""

from __future__ import annotations

import pandas as pd
from matplotlib.axes import Axes

from fleetstats.figures.style import INK, NEW, PALE, RECONDITIONED, legend_above, look, note_below, notebook_axes
from fleetstats.figures.words import percent

NAMED_BELOW = 0.8
"""A source is named beside its dot where less than this share of its records has the field."""

FEWEST = 10
"""Records of a source below which its dot is left out."""


def field_completeness(completeness: pd.DataFrame, *, table: str = "visits", note: str = "", ax: Axes | None = None) -> Axes:
    """One line per field of a table: the share filled over all sources, and a dot for each source; the least complete field on top.

    completeness: of a QualityAccount. note: the line below.
    """
    rows, whole = _of_table(completeness, table)
    ax = ax or notebook_axes(1.2 + 0.3 * len(whole))
    place = {name: number for number, name in enumerate(whole.index)}
    with look():
        ax.hlines(list(place.values()), 0, whole, color=PALE, linewidth=3, label="all sources together")
        high = rows[rows["share"] >= NAMED_BELOW]
        low = rows[rows["share"] < NAMED_BELOW].sort_values(["field", "share"])
        ax.plot(high["share"], high["field"].map(place), "o", color=NEW, markersize=4, alpha=0.7, label="one source")
        ax.plot(low["share"], low["field"].map(place), "D", color=RECONDITIONED, markersize=4, label=f"a source below {100 * NAMED_BELOW:.0f} %")
        for name, group in low.groupby("field"):
            _name_sources(ax, group, place[str(name)])
        ax.set_yticks(list(place.values()), [name.replace("_", " ") for name in place])
        ax.set(xlabel="share of the records in which the field should stand", xlim=(-0.02, 1.02), ylim=(len(place) - 0.4, -0.7))
        ax.xaxis.set_major_formatter(lambda value, _: f"{100 * value:.0f} %")
        ax.grid(axis="y", visible=False)
        legend_above(ax, 3)
    note_below(ax, note)
    return ax


def _of_table(completeness: pd.DataFrame, table: str) -> tuple[pd.DataFrame, pd.Series]:
    rows = completeness[completeness["table"] == table]
    total = rows.groupby("field")[["wanted", "filled"]].sum()
    return rows[rows["wanted"] >= FEWEST], (total["filled"] / total["wanted"]).sort_values(kind="stable")


def _name_sources(ax: Axes, group: pd.DataFrame, height: int) -> None:
    """The names of the sources beside the lowest of their dots, those at one place together."""
    near = group.groupby((group["share"] / 0.12).round())
    for _, together in near:
        names = ", ".join(together["source"]) if len(together) <= 2 else f"{together['source'].iloc[0]} and {len(together) - 1} more"
        ax.annotate(names, (together["share"].mean(), height), xytext=(0, 4), textcoords="offset points", fontsize=6, color=INK,
                    ha="left" if together["share"].mean() < 0.7 else "right", va="bottom")


def field_completeness_alt(completeness: pd.DataFrame, *, table: str = "visits") -> str:
    """What the figure shows, in words: the least complete field and its weakest source."""
    rows, whole = _of_table(completeness, table)
    worst = str(whole.index[0])
    there = rows[rows["field"] == worst].sort_values("share")
    weakest = f"; weakest source {there['source'].iloc[0]}, {percent(float(there['share'].iloc[0]))}" if len(there) else ""
    return f"Completeness of {len(whole)} fields of {table}: least complete is {worst.replace('_', ' ')}, {percent(float(whole.iloc[0]))}{weakest}."
