"""What refrigerator visits cost, quarter by quarter."""

from __future__ import annotations

from typing import Any

import pandas as pd
import seaborn as sns
from matplotlib.axes import Axes

from fleetstats.figures.style import NEW, PALE, REFERENCE, look, note_below, notebook_axes
from fleetstats.figures.words import money

MANY_QUARTERS = 8
"""Beyond this only the years are written."""


def spend_by_quarter(spend: pd.DataFrame, basis: str, *, note: str = "", ax: Axes | None = None) -> Axes:
    """Bars of money by quarter; quarters that a source does not cover whole are pale and hatched.

    spend: columns quarter ("2025-Q4"), spend (money of `basis`), complete (bool), in order. note: the line below.
    """
    ax = ax or notebook_axes(2.9)
    colours = [NEW if complete else PALE for complete in spend["complete"]]
    with look():
        sns.barplot(x=spend["quarter"].astype(str), y=spend["spend"].astype(float), hue=spend["quarter"].astype(str), palette=colours,
                    legend=False, saturation=1, width=0.82, ax=ax)
        for bar, complete in zip(_bars(ax, len(spend)), spend["complete"], strict=True):
            if not complete:
                bar.set(hatch="////", edgecolor=REFERENCE, linewidth=0.5)
        long = len(spend) > MANY_QUARTERS
        marked = [place for place, quarter in enumerate(spend["quarter"]) if not long or str(quarter).endswith("Q1")]
        ax.set_xticks(marked, [str(spend["quarter"].iloc[place])[:4 if long else None] for place in marked])
        ax.set(xlabel="quarter (the year stands at its first)" if long else "quarter", ylabel=f"spend ({basis})")
        ax.yaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
        ax.grid(axis="x", visible=False)
    note_below(ax, note)
    return ax


def _bars(ax: Axes, n: int) -> list[Any]:
    """The bars from left to right; each hue is a container of its own."""
    bars = sorted((bar for container in ax.containers for bar in container), key=lambda bar: bar.get_x())
    return bars[:n]


def spend_by_quarter_alt(spend: pd.DataFrame, basis: str) -> str:
    """What the figure shows, in words: span, last complete quarter, the highest one, and how many are incomplete."""
    whole = spend[spend["complete"].astype(bool)]
    open_quarters = len(spend) - len(whole)
    if whole.empty:
        return f"Spend in {basis} over {len(spend)} quarters, none of them covered whole by every source."
    last, top = (rows.to_dict("records")[0] for rows in (whole.tail(1), whole.nlargest(1, "spend")))
    return (f"Spend in {basis} from {spend['quarter'].iloc[0]} to {spend['quarter'].iloc[-1]}. Last complete quarter {last['quarter']}: "
            f"{money(last['spend'], basis)}; highest {top['quarter']}: {money(top['spend'], basis)}; {open_quarters} incomplete.")
