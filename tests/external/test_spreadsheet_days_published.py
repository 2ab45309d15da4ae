"""Serial numbers of days by ECMA-376 / ISO/IEC 29500-1, section 18.17.4 (date systems)."""

import datetime as dt

import pytest

from fleetstats.sources.cell import Fault
from fleetstats.sources.dates import date_parser
from fleetstats.sources.spreadsheet_days import day_of_serial


@pytest.mark.parametrize(("serial", "system", "day"), [
    (43831, "1900", dt.date(2020, 1, 1)), (45292, "1900", dt.date(2024, 1, 1)), (42369, "1904", dt.date(2020, 1, 1)), (61, "1900", dt.date(1900, 3, 1)),
    (59, "1900", dt.date(1900, 2, 28)), (1, "1900", dt.date(1900, 1, 1)), (0, "1904", dt.date(1904, 1, 1)), (43831.75, "1900", dt.date(2020, 1, 1))])
def test_both_date_systems(serial: float, system: str, day: dt.date):
    """43831 and 45292 are 1 January 2020 and 2024; the 1904 system counts 1462 days less; the part behind the point is a time of day."""
    assert day_of_serial(serial, system) == day


def test_the_day_that_never_was():
    """Serial 60 of the 1900 system is 29 February 1900, no day of the calendar: a fault, neither the day before nor the day after."""
    assert isinstance(day_of_serial(60, "1900"), Fault)
    assert day_of_serial(60, "1904") == dt.date(1904, 3, 1)


def test_the_systems_lie_1462_days_apart():
    """ECMA-376: a serial of the 1904 system names the day that the serial larger by 1462 names in the 1900 system."""
    assert {day_of_serial(serial + 1462, "1900") == day_of_serial(serial, "1904") for serial in range(0, 60_000, 371)} == {True}


def test_the_profile_says_which_system_a_file_counts_in():
    """42369 is 31 December 2015 by the 1900 system and 1 January 2020 by the 1904 one, as a number and as a text."""
    for serial in (42369, 42369.0, "42369"):
        assert date_parser("dmy", date_system="1900")(serial) == dt.date(2015, 12, 31)
        assert date_parser("dmy", date_system="1904")(serial) == dt.date(2020, 1, 1)
