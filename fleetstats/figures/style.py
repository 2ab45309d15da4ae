"""The one look of all figures: colours in fixed roles, axes of the page's width, the line below, SVG with its words."""

from __future__ import annotations

import io
import re
import textwrap
from contextlib import AbstractContextManager
from html import escape
from typing import Any

import matplotlib as mpl
import seaborn as sns
from matplotlib.axes import Axes
from matplotlib.figure import Figure

NEW, RECONDITIONED, REFERENCE = "#0072B2", "#D55E00", "#5F5F5F"
"""Okabe and Ito (2008), colours told apart with any colour vision: blue, vermilion; grey is the reference."""

INK, PALE = "#222222", "#BBBBBB"
ROLE = {"new": NEW, "reconditioned": RECONDITIONED}
WIDTH_INCHES = 6.3
BAND_ALPHA = 0.2

_LOOK: dict[str, Any] = {
    "font.family": "serif", "font.serif": ["DejaVu Serif"], "font.size": 9, "axes.titlesize": 10, "axes.labelsize": 9,
    "xtick.labelsize": 8, "ytick.labelsize": 8, "legend.fontsize": 8, "legend.frameon": False,
    "axes.edgecolor": INK, "axes.labelcolor": INK, "text.color": INK, "xtick.color": INK, "ytick.color": INK,
    "axes.spines.top": False, "axes.spines.right": False, "axes.linewidth": 0.6, "grid.linewidth": 0.4, "grid.color": "#DDDDDD",
    "axes.axisbelow": True, "hatch.linewidth": 0.6,
    "savefig.facecolor": "none", "figure.facecolor": "none", "axes.facecolor": "none", "svg.hashsalt": "fleetstats", "svg.fonttype": "path",
}


def look() -> AbstractContextManager[Any]:
    """The settings of the look, in force inside a `with`."""
    return mpl.rc_context(_grid() | _LOOK)


def _grid() -> dict[Any, Any]:
    return dict(sns.axes_style("whitegrid"))


def page_axes(height_inches: float = 3.4) -> Axes:
    """Axes of a figure as wide as the page, belonging to no window."""
    with look():
        return Figure(figsize=(WIDTH_INCHES, height_inches), layout="constrained").add_subplot()


def notebook_axes(height_inches: float = 3.4) -> Axes:
    """The same for a notebook, which shows it below the cell."""
    from matplotlib import pyplot as plt

    # outside the look: a notebook's backend sets itself up with the first figure, and leaving the look would undo that
    figure = plt.figure(figsize=(WIDTH_INCHES, height_inches), layout="constrained")
    with look():
        return figure.add_subplot()


def note_below(ax: Axes, text: str) -> None:
    """The line below a figure: source, n, period, method."""
    figure = ax.get_figure()
    if isinstance(figure, Figure):
        with look():
            figure.supxlabel("\n".join(textwrap.wrap(text, 117)), fontsize=7, color=REFERENCE, x=0.01, ha="left")


def legend_above(ax: Axes, columns: int) -> None:
    """One row of keys above the axes, each label once, where it hides nothing."""
    figure = ax.get_figure()
    named = dict(zip(*reversed(ax.get_legend_handles_labels()), strict=True))
    if isinstance(figure, Figure):
        figure.legend(list(named.values()), list(named), loc="outside upper center", ncols=columns, columnspacing=1.2, handlelength=1.6, handletextpad=0.5)


def svg(ax: Axes, name: str, title: str, description: str) -> str:
    """The figure of `ax` as one inline SVG element with title and description for readers who do not see it.

    name: a short word, unique on the page; every id in the drawing begins with it, so that several drawings share a page.
    The same axes give the same bytes.
    """
    figure = ax.get_figure()
    if not isinstance(figure, Figure):
        raise TypeError("axes of a subfigure cannot be written alone")
    buffer = io.StringIO()
    with look():
        figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    drawing = re.sub(r"<metadata>.*?</metadata>", "", buffer.getvalue(), flags=re.DOTALL)
    drawing = drawing[drawing.index("<svg"):]
    drawing = re.sub(r'(\bid="|href="#|url\(#)', rf"\g<1>{name}-", drawing)
    drawing = re.sub(r' xmlns(:xlink)?="[^"]*"', "", drawing).replace("xlink:href", "href")
    words = f'<title id="{name}-title">{escape(title)}</title>\n<desc id="{name}-desc">{escape(description)}</desc>'
    head = f'<svg role="img" aria-labelledby="{name}-title {name}-desc"'
    return re.sub(r"<svg([^>]*)>", lambda found: f"{head}{found[1]}>\n{words}", drawing, count=1)
