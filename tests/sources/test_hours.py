import datetime as dt

import pytest

from fleetstats.sources.cell import Fault
from fleetstats.sources.hours import hours_parser


@pytest.mark.parametrize("text", ["1.5", "1,5", "1:30", "1h30", "1 h 30", "1 h 30 min", "90m", "90 min", "90'", "1 1/2", "1½", "1.5h", "1.5 hrs",
    1.5, dt.time(1, 30), dt.timedelta(minutes=90)])
def test_an_hour_and_a_half_in_many_forms(text: object):
    """All of these are 1.5 h in a file that counts hours."""
    assert hours_parser("hours")(text) == pytest.approx(1.5)


@pytest.mark.parametrize(("text", "hours"), [("1.30", 1.3), (".3", 0.3), ("1/2", 0.5), ("2", 2), ("0", 0), ("14", 14), ("20h", 20), ("0:45", 0.75), ("15", 15)])
def test_decimals_stay_decimals(text: str, hours: float):
    """'1.30' is a decimal, 1.3 h, not an hour and a half; with its unit a long job is believed."""
    assert hours_parser("hours")(text) == pytest.approx(hours)


@pytest.mark.parametrize(("text", "hours"), [("90", 1.5), ("45", 0.75), (30, 0.5), ("1:30", 1.5), ("2h", 2), ("90 min", 1.5)])
def test_a_file_that_counts_minutes(text: object, hours: float):
    """Bare numbers are minutes there, numbers with a unit stay what they say."""
    assert hours_parser("minutes")(text) == pytest.approx(hours)


@pytest.mark.parametrize("text", ["90", "16", 45, "-1", "all day", "1:75", "3/0"])
def test_what_is_no_number_of_hours_is_a_fault(text: object):
    """More than 15 bare hours are probably minutes; a negative or unreadable duration has no value."""
    assert isinstance(hours_parser("hours")(text), Fault)
