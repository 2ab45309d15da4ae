import datetime as dt

import pandas as pd
import pytest

from fleetstats.sources import read_sources
from fleetstats.sources.cell import Fault
from fleetstats.sources.dates import count_dates, date_parser

D = dt.date(2023, 7, 4)


@pytest.mark.parametrize(("order", "text"), [
    ("mdy", "7/4/2023"), ("mdy", "07/04/23"), ("mdy", "7-4-2023"), ("dmy", "04/07/2023"), ("dmy", "4.7.23"), ("ymd", "23-07-04"),
    ("mdy", "2023-07-04"), ("dmy", "2023-07-04"), ("dmy", "2023-07-04T10:30:00"), ("dmy", "20230704"), ("mdy", "4-Jul-23"), ("dmy", "Jul 4, 2023"),
    ("dmy", "4th July 2023"), ("dmy", "Tue 4 Jul 2023"), ("dmy", "mar. 4 juillet 2023"),
    ("dmy", "4. Juli 2023"), ("mdy", "4 Juli 23"), ("dmy", "Dienstag, 4. Juli 2023"), ("dmy", "Di 4.7.23"), ("dmy", "4/7/2023 14h30"), ("dmy",
    "4.7.2023 14.30 Uhr"),
    ("dmy", "04/07/2023, 2:30 pm"), ("mdy", "4-Jul-2023 10:30"),
    ("dmy", "2023-07-04T00:00:00.000Z"), ("dmy", "2023-07-04 10:30:00.5-06"), ("mdy", "July 4 2023 9:15"), ("dmy", "mar 4/7/2023"),
    ("dmy", "4 juil. 2023"), ("mdy", "4 juillet 2023"), ("mdy", "7/4/2023 10:30 AM"),
])
def test_one_day_in_many_forms(order: str, text: str):
    """4 July 2023 in the profile's order; ISO and the name of a month whatever the order."""
    assert date_parser(order)(text) == D


@pytest.mark.parametrize("value", [dt.date(2023, 7, 4), dt.datetime(2023, 7, 4, 8, 0), 45111.0, 45111])
def test_real_spreadsheet_dates(value: object):
    """A date cell, and its serial number: day 1 of the 1900 system is 1900-01-01, so 45111 is 4 July 2023."""
    assert date_parser("dmy", of_cells="1900")(value) == D


@pytest.mark.parametrize("value", ["45111", 45111, "45111.5"])
def test_a_bare_number_is_no_day_until_somebody_says_so(value: object):
    """45111 may be a number of anything, or a day by one of two counts: the fault names both; a text is not read by what a workbook says of its numbers."""
    fault = date_parser("dmy")(value)
    assert isinstance(fault, Fault)
    assert "4 July 2023 (1900) or 5 July 2027 (1904)" in fault.what
    assert "date_system" in fault.remedy
    assert isinstance(date_parser("dmy", of_cells="1900")("30124"), Fault)
    assert date_parser("dmy", date_system="1900")("45111") == D


@pytest.mark.parametrize(("text", "day"), [
    ("2023-07-05T02:30:00Z", 4), ("2023-07-05 02:30:00+00:00", 4), ("5/7/2023 02:30 UTC", 4), ("2023-07-04T22:30:00-06:00", 4), ("2023-07-05T23:30:00+02", 5),
    (dt.datetime(2023, 7, 5, 2, 30, tzinfo=dt.UTC), 4), ("2023-07-05 05:59:59.999Z", 4), ("2023-07-05 06:00Z", 5),
    ("5/7/2023 02:30 AM UTC", 4), ("5/7/2023 06:30 a.m. gmt", 5), ("4/7/2023 2:30 pm utc", 4), ("5 jul 2023 12:30 am z", 4), ("5/7/2023 12:30 pm z", 5),
    ("5/7/2023 5h30 z", 4), ("5/7/2023 9h z", 5), ("5/7/2023 2 am utc", 4), ("5.7.2023 02.30 uhr utc", 4), ("4/7/2023 10:30 pm -06:00", 4),
    ("2023-07-04 12:00", 4)])
def test_a_moment_is_of_the_day_of_the_profiles_zone(text: object, day: int):
    """Denver is six hours behind UTC in July (IANA time zone database): half past two in UTC is the evening before there; a clock without a zone is kept."""
    assert date_parser("dmy", time_zone="America/Denver")(text) == dt.date(2023, 7, day)


@pytest.mark.parametrize("value", ["2023-07-05T02:30:00Z", "2023-07-05 22:30:00+00", "5/7/2023 02:30 GMT", "5/7/2023 02:30 PM UTC", "5/7/2023 9h30 z",
    dt.datetime(2023, 7, 5, 2, 30, tzinfo=dt.UTC)])
def test_a_moment_in_utc_has_no_day_of_its_own(value: object):
    """Which day half past two in UTC belongs to depends on the place: without time_zone it is left empty, never read as the day that is written."""
    fault = date_parser("dmy")(value)
    assert isinstance(fault, Fault)
    assert 'time_zone = "..."' in fault.remedy


@pytest.mark.parametrize("text", ["2023-07-05 25:00Z", "2023-07-05 14:30 am utc", "2023-07-05 10:75 gmt"])
def test_a_moment_that_no_clock_shows_has_no_day(text: str):
    """With a zone the hour decides the day, so one that does not exist has none."""
    fault = date_parser("dmy", time_zone="America/Denver")(text)
    assert isinstance(fault, Fault)
    assert fault.what == "no time of a day"


DAYS = 'files = ["s.csv"]\n[format]\ntime_zone = "America/Denver"\n[columns]\n"No" = "document"\n"Van" = "vehicle_id"\n"In" = "date_in"\n'


@pytest.mark.parametrize(("others", "day"), [((), 5),
    (("2023-07-06", "2023-07-07 00:00:00+00:00", "8 Jul 2023 12:00 am UTC"), 5), (("2023-07-06T02:30:00Z",), None)])
def test_days_written_as_midnights_in_utc_stay_the_days_they_are(write_project, others: tuple[str, ...], day: int | None):
    """In Denver midnight in UTC is the evening before: in a column of midnights it is the day that was meant, beside other times it may be either and has
    no value."""
    rows = "".join(f"A{place},V1,{text}\n" for place, text in enumerate(("2023-07-05T00:00:00Z", *others)))
    source, = read_sources(write_project({"s.csv": f"No,Van,In\n{rows}"}, {"s": DAYS}))
    first = source.rows["date_in"].iloc[0]
    assert (None if pd.isna(first) else first.day) == day
    assert [problem.what[:15] for problem in source.problems if problem.row == 2] == ([] if day else ["midnight in UTC"])


@pytest.mark.parametrize("zone", ["UTC", "Europe/Berlin"])
def test_a_midnight_in_utc_that_is_of_its_own_day_needs_no_proof(zone: str):
    """East of Greenwich, and there in winter, both readings are one day."""
    assert date_parser("dmy", time_zone=zone)("2023-07-04T00:00:00Z") == D


@pytest.mark.parametrize(("text", "year"), [("1/2/49", 2049), ("1/2/70", 1970), ("1/2/99", 1999), ("1/2/00", 2000)])
def test_two_digit_years(text: str, year: int):
    """00 to 49 are 2000 to 2049, 70 to 99 are 1970 to 1999: no record of a rental fleet is older."""
    assert date_parser("mdy")(text) == dt.date(year, 1, 2)


def test_a_century_that_is_not_sure():
    """'55' may be 1955 or 2055 and has no value, unless one of them alone lies in what the source covers; a source of a hundred years settles nothing."""
    assert isinstance(date_parser("mdy")("1/2/55"), Fault)
    assert date_parser("mdy", covered=(dt.date(1950, 1, 1), dt.date(1960, 1, 1)))("1/2/55") == dt.date(1955, 1, 2)
    assert date_parser("mdy", covered=(dt.date(2015, 1, 1), dt.date(2025, 1, 1)))("1/2/20") == dt.date(2020, 1, 2)
    assert isinstance(date_parser("mdy", covered=(dt.date(1915, 1, 1), dt.date(2025, 1, 1)))("1/2/20"), Fault)


@pytest.mark.parametrize(("order", "text", "what"), [
    ("mdy", "25/03/2020", "impossible"), ("dmy", "03/25/2020", "impossible"), ("mdy", "2/30/2020", "impossible"), ("mdy", "2021-02-29", "impossible"),
    (None, "03/04/2024", "ambiguous"), ("mdy", "Jul 4", "without a year"), ("mdy", "10-12", "not read"), ("mdy", "soon", "not read"),
    ("mdy", "1/1/1900", "default"), ("dmy", "01/01/1970", "default"), ("mdy", "1900-01-01", "default"), ("mdy", "12/30/1899", "default"), ("mdy", "0",
    "default"),
    ("ymd", "04/07/2023", "order"), ("mdy", "1/2/1899", "out of reach"), ("mdy", "Jul 2023", "not a day"), ("dmy", "07/2023", "not a day"), ("dmy", "2023",
    "not a day"),
    ("dmy", "1/7/2023 - 4/7/2023", "not read"), ("dmy", "10-12/07/2023", "not read"), ("dmy", "2023-07-04 to 2023-07-05", "not read"), ("mdy", "4/7/23 10",
    "not read"),
    (None, "25/03/20", "25 March 2020 or 20 March 2025"), ("ymd", "23-Jul-04", "ambiguous"), ("dmy", "30 Feb 2021", "impossible"), ("dmy", "4/7/2023?",
    "not read"),
    ("dmy", "٤/٧/٢٠٢٣", "not read"),
])
def test_what_is_no_date_is_a_fault_and_never_swapped(order: str | None, text: str, what: str):
    """A date that the stated order forbids, a default of a program, one without a year, or one that can be read in two ways has no value."""
    fault = date_parser(order)(text)
    assert isinstance(fault, Fault)
    assert what in fault.what


def test_without_an_order_only_what_has_one_reading():
    """25/03/2020 can only be day-month-year, 03/25/2020 only month-day-year, 04/04/2020 is the same both ways."""
    parse = date_parser(None)
    assert parse("25/03/2020") == parse("03/25/2020") == dt.date(2020, 3, 25)
    assert parse("04/04/2020") == dt.date(2020, 4, 4)


def test_the_other_dates_of_the_column_are_told_beside_an_ambiguous_one():
    """Nothing is swapped: the fault names both days, and the remedy what other values of the column prove."""
    fault = date_parser(None, seen=count_dates(["25/03/2024", "26/03/2024", "03/04/2024"]))("03/04/2024")
    assert isinstance(fault, Fault)
    assert "3 April 2024" in fault.what
    assert "4 March 2024" in fault.what
    assert '2 other values of this column can only be day-month-year: set date_order = "dmy"' in fault.remedy


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1, 1e308, 2**70, True, dt.time(3), dt.timedelta(3), 60, 20231301])
def test_numbers_that_are_no_days(value: object):
    """Neither an endless number, nor one out of the calendar, nor a time of day is a date."""
    assert isinstance(date_parser("dmy")(value), Fault)


def test_march_is_no_tuesday():
    """'mar' is mardi before a day with its month, and March before a day alone."""
    assert date_parser("dmy")("mar 4 2023") == dt.date(2023, 3, 4)
