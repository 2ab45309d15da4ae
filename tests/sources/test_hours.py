import datetime as dt

import pytest

from fleetstats.sources.cell import Fault
from fleetstats.sources.hours import count_points, hours_parser


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


def test_no_other_value_settles_the_reading_of_one():
    """One 1.75 may be a slip: 1.30 beside it stays empty, and the remedy tells how many values can be no minutes."""
    fault = hours_parser("hours", None, count_points(["1.30", "1.75", 1.5]))("1.30")
    assert isinstance(fault, Fault)
    assert '1 of 2 such values of this column can be no minutes, as 1.75: set hours_point = "decimal"' in fault.remedy


def test_what_a_draft_takes_for_proof():
    """Three values and a tenth of those with two digits behind the mark; a single 1.75, or three among a thousand, prove nothing."""
    assert count_points(["1.75", "2.80", "0.60", "1.30"]).proved
    assert not count_points(["1.30", "1.75"]).proved
    assert not count_points([*["1.30"] * 1000, "1.75", "2.80", "0.60"]).proved
    assert not count_points(["1.30", "1.5", "2", "0:45", None, 1.25]).no_minutes


@pytest.mark.parametrize(("number", "hours"), [(1.3, 1.5), (0.5, 50 / 60), (1.25, 1 + 25 / 60), (1.05, 1 + 5 / 60), (2.0, 2), (2, 2), ("2.000", 2)])
def test_a_number_holds_no_last_zero(number: object, hours: float):
    """Under hours_point = "minutes" the cell 1.3 of a workbook was typed as 1.30: an hour and a half."""
    assert hours_parser("hours", "minutes")(number) == pytest.approx(hours)


@pytest.mark.parametrize(("value", "what"), [("1.3", "1.3 h, 1 h 30 min, 1 h 03 min"), ("1.7", "1.7 h, 1 h 07 min"), ("1.75", "75 are no minutes"),
    (1.75, "75 are no minutes"), (1.7, "70 are no minutes"),
    ("1.125", "125 are no minutes"), (1.125, "125 are no minutes"), ("0,050", "050 are no minutes"), ("1.305 h", "305 are no minutes"),
    (1 / 3, "are no minutes")])
def test_what_a_profile_of_minutes_does_not_settle(value: object, what: str):
    """One digit of a text behind the mark may be tenths, tens of minutes or minutes; 75 contradicts the profile: neither is read as hundredths in silence."""
    fault = hours_parser("hours", "minutes")(value)
    assert isinstance(fault, Fault)
    assert what in fault.what


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
