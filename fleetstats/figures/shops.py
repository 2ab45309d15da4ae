"""Do shops differ by more than chance? Bench verdicts per shop against the limits that chance allows."""

from __future__ import annotations

from matplotlib.axes import Axes

from fleetstats.diagnosis import Funnel, FunnelPoint
from fleetstats.figures.style import INK, NEW, PALE, REFERENCE, legend_above, look, note_below, notebook_axes
from fleetstats.figures.words import percent


def shop_funnel(funnel: Funnel, *, note: str = "", ax: Axes | None = None) -> Axes:
    """One dot per shop at its number of verdicts; the grey bar is where it would lie if it did not differ from the others.

    funnel: verdicts as they are, not corrected. A filled dot lies outside its bar. note: the line below.
    """
    ax = ax or notebook_axes()
    with look():
        ax.axhline(funnel.pooled, color=REFERENCE, linewidth=0.8, linestyle=":", label=f"all shops together, {percent(funnel.pooled)}")
        reach = 1.4 * max(point.tested for point in funnel.points)
        for point in funnel.points:
            _draw(ax, point, funnel.level)
        _name(ax, sorted(funnel.points, key=lambda point: point.share), reach)
        ax.set(xlabel="units with a bench verdict (number)", ylabel="share found healthy", ylim=(-0.03, 1.03))
        ax.set_xlim(0, reach)
        ax.yaxis.set_major_formatter(lambda share, _: f"{100 * share:.0f} %")
        ax.grid(axis="x", visible=False)
        legend_above(ax, 2)
    note_below(ax, note)
    return ax


def _draw(ax: Axes, point: FunnelPoint, level: float) -> None:
    outside = point.place != "within"
    ax.plot([point.tested] * 2, [point.limit_lower, point.limit_upper], color=PALE, linewidth=5, solid_capstyle="butt",
            label=f"where chance alone puts it, {100 * level:g} in 100 times")
    ax.plot(point.tested, point.share, "o", markersize=6, zorder=3, markeredgecolor=NEW, markerfacecolor=NEW if outside else "white",
            label="a shop outside that" if outside else "a shop within that")


def _name(ax: Axes, points: list[FunnelPoint], reach: float) -> None:
    """Write the shops' names from the lowest share up, each clear of those already written near it."""
    written: list[tuple[float, float]] = []
    for point in points:
        taken = [height for tested, height in written if abs(tested - point.tested) < 0.4 * reach]
        height = max([point.share, *(h + 0.055 for h in taken if h + 0.055 > point.share)])
        written.append((point.tested, height))
        ax.text(point.tested + 0.012 * reach, height, f"{point.shop}, {point.no_fault} of {point.tested}", fontsize=7.5, color=INK, va="center", zorder=2.5)


def shop_funnel_alt(funnel: Funnel) -> str:
    """What the figure shows, in words: every shop with its counts and whether chance allows its place."""
    said = [f"{p.shop} {p.no_fault} of {p.tested}, {p.place} the limits {percent(p.limit_lower)} to {percent(p.limit_upper)}" for p in funnel.points]
    return f"Share found healthy among benched units by shop; all together {percent(funnel.pooled)}. " + "; ".join(said) + "."
