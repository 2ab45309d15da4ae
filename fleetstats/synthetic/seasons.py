"""Days as whole numbers (the proleptic ordinal), and the rental season of a depot."""

from __future__ import annotations

import datetime as dt

from fleetstats.synthetic.scenario import Depot

YEAR = 365.25


def day(value: dt.date) -> int:
    """The number of a day."""
    return value.toordinal()


def date(number: float) -> dt.date:
    """The day of a number; parts of a day are cut off."""
    return dt.date.fromordinal(int(number))


def _month_day(year: int, text: str) -> int:
    month, of_month = (int(part) for part in text.split("-"))
    return dt.date(year, month, of_month).toordinal()


def season_starting(depot: Depot, year: int) -> tuple[int, int]:
    """First and last day of the season that begins in the year; a southern one ends in the next year."""
    first, last = _month_day(year, depot.season[0]), _month_day(year, depot.season[1])
    return first, last if last > first else _month_day(year + 1, depot.season[1])


def seasons_between(depot: Depot, start: float, end: float) -> list[tuple[int, int]]:
    """The seasons that touch the days from start to end, in order."""
    years = range(date(start).year - 1, date(end).year + 1)
    return [(first, last) for first, last in (season_starting(depot, year) for year in years) if last >= start and first <= end]


def in_season(depot: Depot, number: float) -> bool:
    """Whether the day lies in a season of the depot."""
    year = date(number).year
    return any(first <= number <= last for first, last in (season_starting(depot, year - 1), season_starting(depot, year)))
