"""What each option costs to the end of the vehicle's stay, with its spread."""

from __future__ import annotations

import textwrap

from matplotlib.axes import Axes

from fleetstats.decision import OPTION_WORDS, Decision, OptionCost
from fleetstats.figures.style import INK, NEW, RECONDITIONED, REFERENCE, legend_above, look, note_below, notebook_axes
from fleetstats.figures.words import money_with_interval


def option_costs(decision: Decision, *, note: str = "", ax: Axes | None = None) -> Axes:
    """Expected cost of every priced option (dot) with interval (bar), and the cost if the unit has failed or is sound.

    decision: as returned by decide. The recommended option's dot is filled. note: the line below.
    """
    lines = _priced(decision)
    ax = ax or notebook_axes(1.3 + 0.28 * len(lines))
    with look():
        for place, line in enumerate(lines):
            _draw(ax, place, line, line.option == decision.recommended)
        ax.set_yticks(range(len(lines)), [textwrap.fill(OPTION_WORDS[line.option], 34) for line in lines])
        ax.set(xlabel=f"cost to the planned exit of the vehicle ({decision.price_basis})", ylim=(len(lines) - 0.4, -0.6))
        ax.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
        ax.grid(axis="y", visible=False)
        legend_above(ax, 4)
    note_below(ax, note)
    return ax


def _priced(decision: Decision) -> list[OptionCost]:
    lines = [line for line in decision.options if line.cost is not None and line.cost.estimate is not None]
    return sorted(lines, key=lambda line: (line.cost.estimate or 0.0) if line.cost else 0.0)


def _draw(ax: Axes, place: int, line: OptionCost, recommended: bool) -> None:
    if line.cost is None or line.cost.estimate is None:
        return
    if line.cost.lower is not None and line.cost.upper is not None:
        ax.plot([line.cost.lower, line.cost.upper], [place, place], color=INK, linewidth=2.2, solid_capstyle="butt", alpha=0.75)
    for value, marker, colour, label in ((line.if_failed, ">", RECONDITIONED, "if it has truly failed"), (line.if_healthy, "<", REFERENCE, "if it is sound")):
        if value is not None:
            ax.plot(value, place, marker, color=colour, markersize=5, markerfacecolor="white", linestyle="none", label=label)
    ax.plot(line.cost.estimate, place, "o", color=NEW, markersize=6.5, markerfacecolor=NEW if recommended else "white",
            label="expected, recommended" if recommended else "expected")


def option_costs_alt(decision: Decision) -> str:
    """What the figure shows, in words: the options from the cheapest, each with its interval."""
    said = [f"{OPTION_WORDS[line.option]} {money_with_interval(line.cost, decision.price_basis)}" for line in _priced(decision)]
    return f"Expected cost of each option in {decision.price_basis}, the cheapest first: " + "; ".join(said) + "."
