"""Figures: what is drawn is what the result holds, and each says in words what it shows."""

import dataclasses
import re

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from fleetstats import figures
from fleetstats.figures.style import INK, NEW, RECONDITIONED, REFERENCE, WIDTH_INCHES
from tests.figures.made import FILES, FUNNEL, SPEND, curve, decision

CURVES = [curve("as_recorded", "steps", 0.4), curve("corrected", "fitted", 0.6)]
DRAWN = {
    "survival": (lambda ax: figures.survival(CURVES, note="n = 110", ax=ax), figures.survival_alt(CURVES)),
    "shops": (lambda ax: figures.shop_funnel(FUNNEL, note="n = 44", ax=ax), figures.shop_funnel_alt(FUNNEL)),
    "costs": (lambda ax: figures.option_costs(decision(), note="2 options", ax=ax), figures.option_costs_alt(decision())),
    "spend": (lambda ax: figures.spend_by_quarter(SPEND, "USD 2025-12 net", note="n = 41", ax=ax), figures.spend_by_quarter_alt(SPEND, "USD 2025-12 net")),
    "data": (lambda ax: figures.data_quality(FILES, note="150 rows", ax=ax), figures.data_quality_alt(FILES)),
}


@pytest.mark.parametrize("name", DRAWN)
def test_a_figure_draws_on_the_axes_given_and_returns_them(name):
    """The report passes its own axes: the function returns the same object, as wide as the page."""
    ax = figures.page_axes()
    assert DRAWN[name][0](ax) is ax
    assert ax.figure.get_figwidth() == WIDTH_INCHES
    assert ax.get_xlabel()


@pytest.mark.parametrize("name", DRAWN)
def test_svg_is_the_same_twice_and_carries_its_words(name):
    """Same axes content, same bytes; title and description are inside; no outside address, no script, no date."""
    first, second = (figures.svg(DRAWN[name][0](figures.page_axes()), "drawing", "A title", DRAWN[name][1]) for _ in range(2))
    assert first == second
    assert first.startswith('<svg role="img" aria-labelledby="drawing-title drawing-desc"')
    assert "<desc" in first
    assert not re.search(r"https?:|<script|<metadata", first)


def test_ids_of_two_drawings_on_one_page_never_meet():
    """HTML ids must be unique: every id and every reference begins with the drawing's own name."""
    drawing = figures.svg(figures.shop_funnel(FUNNEL, ax=figures.page_axes()), "mine", "t", "d")
    ids = re.findall(r'\bid="([^"]*)"', drawing)
    references = re.findall(r'href="#([^"]*)"|url\(#([^)]*)\)', drawing)
    assert ids
    assert all(name.startswith("mine-") for name in ids)
    assert {a or b for a, b in references} <= set(ids)


def test_survival_draws_the_numbers_of_the_curves():
    """The lines end at the last share of their curve; the words hold the share and interval at the middle age (5 years: 0.8, 0.76 to 0.84)."""
    ax = figures.survival(CURVES, ax=figures.page_axes())
    assert [round(float(line.get_ydata()[-1]), 6) for line in ax.lines] == [0.4, 0.6]
    assert "80.0 % (76.0 % to 84.0 %) at 5.0 years" in figures.survival_alt(CURVES)


def test_a_curve_that_begins_late_says_of_whom_it_speaks():
    """Nobody under observation before year 7: no line and no number before it, and the key names the units that got so far."""
    whole = curve("as_recorded", "steps", 0.4)
    late = dataclasses.replace(whole, age_years=whole.age_years + 7.0, start_age_years=7.0)
    ax = figures.survival([late], ax=figures.page_axes())
    assert ax.get_xlim()[0] == 7.0
    assert min(float(text.get_position()[0]) for text in ax.texts) == 7.0
    assert "of units that reached 7.0 years" in ax.get_legend().get_texts()[0].get_text()
    both = figures.survival([late, curve("corrected", "fitted", 0.6)], ax=figures.page_axes())
    counts = {float(text.get_position()[0]): text.get_text() for text in both.texts if text.get_text().isdigit()}
    assert min(counts) >= 7.0
    assert "reached" not in both.get_legend().get_texts()[1].get_text()


def test_at_risk_table_counts_at_whole_years():
    """Numbers under the axis: 110 units at age 0, falling by 10 each year, every one of the 11 years."""
    ax = figures.survival(CURVES, ax=figures.page_axes())
    numbers = [int(text.get_text()) for text in ax.texts if text.get_text().isdigit()]
    assert numbers == list(range(110, 0, -10))


def test_colours_have_fixed_roles():
    """New blue, reconditioned vermilion, the records as they stand grey; line style differs too, so colour never speaks alone."""
    for origin, colour in (("new", NEW), ("reconditioned", RECONDITIONED)):
        ax = figures.survival([curve("as_recorded", "steps", 0.4, origin), curve("corrected", "fitted", 0.6, origin)], ax=figures.page_axes())
        assert [line.get_color() for line in ax.lines] == [REFERENCE, colour]
        assert len({line.get_linestyle() for line in ax.lines}) == 2


@pytest.mark.parametrize("colour", [NEW, RECONDITIONED, REFERENCE, INK])
def test_colours_stand_out_from_paper(colour):
    """WCAG 2.1: text at least 4.5:1 against white (ink, grey), drawn things at least 3:1 (formula of relative luminance there)."""
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    ratio = 1.05 / (np.dot([0.2126, 0.7152, 0.0722], linear) + 0.05)
    assert ratio >= (4.5 if colour in (INK, REFERENCE) else 3.0)


def test_funnel_names_every_shop_with_its_limits():
    """No shop is named without its counts and the interval chance allows."""
    words = figures.shop_funnel_alt(FUNNEL)
    assert "Hill workshop 9 of 14, above the limits 10.0 % to 50.0 %" in words
    assert "Harbour workshop 8 of 30, within the limits 17.0 % to 43.0 %" in words


def test_option_costs_are_sorted_and_leave_out_what_has_no_price():
    """Two of ten options are priced: two rows, the cheaper above, its words first."""
    ax = figures.option_costs(decision(), ax=figures.page_axes())
    assert [label.get_text() for label in ax.get_yticklabels()] == ["put the outside fault right first", "exchange for a new unit"]
    assert figures.option_costs_alt(decision()).endswith(
        "put the outside fault right first USD 1,300 (1,000 to 1,700); exchange for a new unit USD 2,500 (2,200 to 2,900).")


def test_incomplete_quarters_look_different_and_are_counted():
    """A quarter that is not covered whole is hatched, never compared: highest and last are taken among complete ones only."""
    ax = figures.spend_by_quarter(SPEND, "USD 2025-12 net", ax=figures.page_axes())
    hatched = [bar.get_hatch() for container in ax.containers for bar in container]
    assert [bool(h) for h in hatched] == [False, False, False, True]
    assert "Last complete quarter 2025-Q3: USD 9,000; highest 2025-Q2: USD 18,300; 1 incomplete." in figures.spend_by_quarter_alt(SPEND, "USD 2025-12 net")


def test_fates_fill_every_bar():
    """The six fates of a file add up to its rows, so each bar ends at 1."""
    ax = figures.data_quality(FILES, ax=figures.page_axes())
    ends = {round(bar.get_y(), 3): bar.get_x() + bar.get_width() for container in ax.containers for bar in container}
    assert list(ends.values()) == pytest.approx([1.0, 1.0])
