import datetime as dt

import pytest

from fleetstats.sources.cell import Fault
from fleetstats.sources.hours import hours_parser, point_shown


@pytest.mark.parametrize("text", ["1.5", "1,5", "1:30", "1h30", "1 h 30", "1 h 30 min", "90m", "90 min", "90'", "1 1/2", "1½", "1.5h", "1.5 hrs",
    1.5, dt.time(1, 30), dt.timedelta(minutes=90)])
def test_an_hour_and_a_half_in_many_forms(text: object):
    """All of these are 1.5 h in a file that counts hours."""
    assert hours_parser("hours")(text) == pytest.approx(1.5)


@pytest.mark.parametrize(("text", "hours"), [("1.75", 1.75), (".3", 0.3), (",3", 0.3), ("1/2", 0.5), ("2", 2), ("0", 0), ("14", 14), ("20h", 20), ("0:45",
    0.75),
    ("15", 15), ("2.00", 2), ("17.5", 17.5), ("1.5 Std", 1.5), ("2 Stunden 15 Minuten", 2.25), ("1 h et 30 mn", 1.5), ("2¼", 2.25), ("10½", 10.5)])
def test_what_has_one_reading(text: str, hours: float):
    """Hundredths that can be no minutes are hundredths; '.3' is three tenths of an hour by the clock and by the flat-rate book; a unit is believed."""
    assert hours_parser("hours")(text) == pytest.approx(hours)


@pytest.mark.parametrize(("text", "decimal", "minutes"), [("1.30", 1.3, 1.5), ("0,45", 0.45, 0.75), (1.25, 1.25, 1 + 25 / 60), (".15", 0.15, 0.25),
    ("1.30h", 1.3, 1.5)])
def test_hundredths_or_minutes_are_the_profiles_to_say(text: object, decimal: float, minutes: float):
    """'1.30' is 1.3 h or an hour and a half: without a word of the profile it has no value, and the fault names both readings."""
    fault = hours_parser("hours")(text)
    assert isinstance(fault, Fault)
    assert f"{decimal:g} h" in fault.what
    assert "hours_point" in fault.remedy
    assert hours_parser("hours", "decimal")(text) == pytest.approx(decimal)
    assert hours_parser("hours", "minutes")(text) == pytest.approx(minutes)


def test_a_column_may_settle_its_own_point():
    """1.75 can be no hour and 75 minutes, so hundredths are meant; 1.30 and 1.5 prove nothing."""
    assert point_shown(["1.30", "1.75"]) == "decimal"
    assert point_shown(["1.30", "1.5", "2", "0:45", None, 1.25]) is None


@pytest.mark.parametrize(("text", "hours"), [("90", 1.5), ("45", 0.75), (30, 0.5), ("1:30", 1.5), ("2h", 2), ("90 min", 1.5)])
def test_a_file_that_counts_minutes(text: object, hours: float):
    """Bare numbers are minutes there, numbers with a unit stay what they say."""
    assert hours_parser("minutes")(text) == pytest.approx(hours)


@pytest.mark.parametrize("text", ["1.5", "2,5", 7.5, ".3"])
def test_no_part_of_a_minute(text: object):
    """In a column of minutes 1.5 may be an hour and a half: it has no value."""
    assert isinstance(hours_parser("minutes")(text), Fault)


@pytest.mark.parametrize("text", ["90", "16", 45, "-1", "all day", "1:75", "3/0", "3/9", "1-2", "2 to 3", float("nan"), float("inf"), 1e300, dt.timedelta(-1),
    dt.date(2021, 1, 2), True, "50%"])
def test_what_is_no_number_of_hours_is_a_fault(text: object):
    """More than 15 bare whole hours are probably minutes; a negative duration, a range, a share or a text has no value."""
    assert isinstance(hours_parser("hours")(text), Fault)
