"""What became of the rows of every file."""

from __future__ import annotations

import pandas as pd
from matplotlib.axes import Axes

from fleetstats.figures.style import INK, legend_above, look, note_below, notebook_axes
from fleetstats.figures.words import percent

FATE_COLUMNS = ("accepted", "merged", "superseded", "set_aside", "rejected", "furniture")
_FILL = {
    "accepted": ("#0072B2", ""), "merged": ("#56B4E9", ""), "superseded": ("#CC79A7", ""),
    "set_aside": ("#DDDDDD", ""), "rejected": ("#D55E00", "//"), "furniture": ("#FFFFFF", ""),
}


def data_quality(files: pd.DataFrame, *, note: str = "", ax: Axes | None = None) -> Axes:
    """One bar per file, whole length all rows read, parts the six fates.

    files: the declared table `files`. note: the line below.
    """
    ax = ax or notebook_axes(1.3 + 0.24 * len(files))
    rows = files["rows_read"].astype(float).clip(lower=1)
    with look():
        start = pd.Series(0.0, index=files.index)
        for fate in FATE_COLUMNS:
            share = files[fate].astype(float) / rows
            colour, hatch = _FILL[fate]
            ax.barh(range(len(files)), share, left=start, height=0.7, color=colour, hatch=hatch, edgecolor=INK, linewidth=0.3, label=fate.replace("_", " "))
            start = start + share
        ax.set_yticks(range(len(files)), [f"{name} ({n:,.0f})" for name, n in zip(files["file"], files["rows_read"], strict=True)])
        ax.set(xlabel="share of the rows read", xlim=(0, 1), ylim=(len(files) - 0.4, -0.6))
        ax.xaxis.set_major_formatter(lambda value, _: f"{100 * value:.0f} %")
        ax.grid(axis="y", visible=False)
        legend_above(ax, 6)
    note_below(ax, note)
    return ax


def data_quality_alt(files: pd.DataFrame) -> str:
    """What the figure shows, in words: rows in all and the share of each fate."""
    total = max(1, int(files["rows_read"].sum()))
    said = [f"{fate.replace('_', ' ')} {percent(int(files[fate].sum()) / total)}" for fate in FATE_COLUMNS]
    return f"Fate of {total:,} rows in {len(files)} files: " + ", ".join(said) + "."
