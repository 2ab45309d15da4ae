"""Share of cooling units still working by age: as the records say, beside what holds once needless removals are taken out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes

from fleetstats.figures.style import BAND_ALPHA, REFERENCE, ROLE, look, note_below, notebook_axes
from fleetstats.figures.words import percent
from fleetstats.life import SurvivalCurve

_LINE = {("corrected", "fitted"): "-", ("corrected", "steps"): ":", ("as_recorded", "steps"): "--"}
_NAME = {
    ("as_recorded", "steps"): "as recorded: every condemned unit counted as failed",
    ("corrected", "fitted"): "corrected: true failures only, as fitted",
    ("corrected", "steps"): "corrected: the same, counted without a formula",
}


def survival(curves: Sequence[SurvivalCurve], *, note: str = "", ax: Axes | None = None) -> Axes:
    """Share still working by age with band, one line per curve, and a table of units at risk; all curves of one origin.

    curves: as recorded and corrected, of `fleetstats.life.survival_curves`; the first one's numbers at risk are printed.
    Where both a fitted and a counted corrected curve are given, the counted one is drawn thin and without its band.
    note: the line below (source, n, period).
    """
    ax = ax or notebook_axes(3.9)
    fitted = any(curve.kind == "fitted" for curve in curves)
    with look():
        for curve in curves:
            _draw(ax, curve, thin=fitted and curve.basis == "corrected" and curve.kind == "steps")
        start, end = _whole_years(curves)
        ax.set(xlabel=f"age of a {curves[0].origin} cooling unit (years)", ylabel="share still working", ylim=(0, 1.02), xlim=(start, end))
        ax.yaxis.set_major_formatter(lambda share, _: f"{100 * share:.0f} %")
        ax.legend(loc="lower left")
        _at_risk(ax, curves[0], start, end)
    note_below(ax, note)
    return ax


def _draw(ax: Axes, curve: SurvivalCurve, *, thin: bool) -> None:
    colour = ROLE[curve.origin] if curve.basis == "corrected" else REFERENCE
    steps = curve.kind == "steps"
    kind = (curve.basis, curve.kind)
    ax.plot(curve.age_years, curve.survival, _LINE[kind], drawstyle="steps-post" if steps else "default",
            color=colour, linewidth=1.0 if thin else 1.5, label=_name(curve))
    if not thin:
        ax.fill_between(curve.age_years, curve.lower, curve.upper, step="post" if steps else None, color=colour, alpha=BAND_ALPHA, linewidth=0)


def _whole_years(curves: Sequence[SurvivalCurve]) -> tuple[float, float]:
    return float(np.floor(min(float(curve.age_years[0]) for curve in curves))), float(np.ceil(max(float(curve.age_years[-1]) for curve in curves)))


def _name(curve: SurvivalCurve) -> str:
    """What the line is; a curve that begins late speaks of the units alone that got so far: nobody saw what happened before."""
    late = f", of units that reached {curve.start_age_years:.1f} years" if curve.start_age_years >= 0.05 else ""
    return f"{_NAME[curve.basis, curve.kind]}{late}"


def _at_risk(ax: Axes, curve: SurvivalCurve, start: float, end: float) -> None:
    """Numbers under observation at whole years, below the axis; the place of each is its age; none where nobody was observed."""
    place = ax.get_xaxis_transform()
    ax.text(start, -0.215, "units under observation at that age", transform=place, fontsize=7.5, color=REFERENCE)
    first, last = curve.age_years[0], curve.age_years[-1]
    whole = [age for age in np.arange(start, end + 0.5, max(1, round((end - start) / 8))) if first <= age <= last]
    for age in whole or [first]:
        ax.text(age, -0.275, f"{curve.at_risk[np.searchsorted(curve.age_years, age)]:.0f}", transform=place, ha="center", fontsize=7.5)


def survival_alt(curves: Sequence[SurvivalCurve]) -> str:
    """What the figure shows, in words, with the share still working at the middle age of each curve."""
    said = [f"{_name(curve)}, {_at_middle(curve)}" for curve in curves]
    return f"Share of {curves[0].origin} cooling units still working, falling with age. " + "; ".join(said) + "."


def _at_middle(curve: SurvivalCurve) -> str:
    middle = np.searchsorted(curve.age_years, (curve.age_years[0] + curve.age_years[-1]) / 2)
    age, share, low, high = (float(values[middle]) for values in (curve.age_years, curve.survival, curve.lower, curve.upper))
    return f"{percent(share)} ({percent(low)} to {percent(high)}) at {age:.1f} years"
