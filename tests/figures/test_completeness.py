"""The figure of complete fields draws the numbers of the account."""

from __future__ import annotations

import pandas as pd

from fleetstats.figures import field_completeness, field_completeness_alt, page_axes

TABLE = pd.DataFrame([
    {"table": "visits", "source": "a", "field": "payer", "wanted": 100, "filled": 100, "share": 1.0},
    {"table": "visits", "source": "b", "field": "payer", "wanted": 100, "filled": 20, "share": 0.2},
    {"table": "visits", "source": "a", "field": "action", "wanted": 100, "filled": 90, "share": 0.9},
    {"table": "visits", "source": "b", "field": "action", "wanted": 5, "filled": 0, "share": 0.0},
    {"table": "bench_tests", "source": "c", "field": "serial", "wanted": 50, "filled": 1, "share": 0.02},
])


def test_lines_and_dots_are_the_shares() -> None:
    """Line lengths 120/200 and 90/105, the least complete on top; a dot per source with at least 10 records; the other table is left out."""
    ax = field_completeness(TABLE, ax=page_axes())
    assert [label.get_text() for label in ax.get_yticklabels()] == ["payer", "action"]
    ends = [path.vertices[1, 0] for path in ax.collections[0].get_paths()]
    assert ends == [120 / 200, 90 / 105]
    dots = sorted((float(x), float(y)) for line in ax.lines for x, y in zip(line.get_xdata(), line.get_ydata(), strict=True))
    assert dots == [(0.2, 0.0), (0.9, 1.0), (1.0, 0.0)]


def test_the_words_name_the_least_complete_field() -> None:
    """The alternative text holds the main number."""
    assert field_completeness_alt(TABLE) == "Completeness of 2 fields of visits: least complete is payer, 60.0 %; weakest source b, 20.0 %."
