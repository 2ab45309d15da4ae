"""Numbers as text."""

import pytest

from fleetstats.figures.words import amount, counted, ends, money, money_with_interval, percent, with_interval, years
from fleetstats.results import Estimate


def estimate(point, lower, upper):
    return Estimate(estimate=point, lower=lower, upper=upper, level=0.9, method="m", unit="u")


@pytest.mark.parametrize(("value", "text"), [
    (0, "0"), (999.4, "999"), (1000, "1,000"), (31249, "31,200"), (31250.1, "31,300"),
    (1234567, "1,230,000"), (-2569.27, "-2,570"),
])
def test_money_above_a_thousand_has_three_digits(value, text):
    """Three significant digits above 1,000, whole units below, counted by hand."""
    assert amount(value) == text


def test_currency_stands_before_the_amount():
    """ISO code first, the basis named once."""
    assert money(31249, "USD 2025-12 net") == "USD 31,200"
    assert money_with_interval(estimate(31249, 28000, 35010), "EUR 2025-12 net") == "EUR 31,200 (28,000 to 35,000)"


def test_intervals_say_to():
    """Ends are joined by 'to', never by a dash; the unit stands once where there is no point."""
    assert with_interval(estimate(0.312, 0.245, 0.387), percent) == "31.2 % (24.5 to 38.7)"
    assert with_interval(estimate(None, 2.84, 5.96), years) == "2.8 to 6.0 years"


def test_a_half_open_interval_is_said_as_such():
    """Only a lower end: 'more than'; only an upper: 'at most'; neither, no point: cannot say."""
    assert with_interval(estimate(None, 9.1, None), years) == "more than 9.1 years"
    assert ends(estimate(None, None, 3.0), amount) == "at most 3"
    assert with_interval(estimate(None, None, None), years) == "cannot say"
    assert with_interval(None, years) == "cannot say"


def test_a_count_stands_with_its_word():
    """One is singular, none and many plural, thousands parted."""
    assert [counted(n, "visit", "visits") for n in (0, 1, 1200)] == ["0 visits", "1 visit", "1,200 visits"]
