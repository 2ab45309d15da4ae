"""Numbers as a reader sees them: percent with one decimal, intervals with 'to', the currency before the amount."""

from __future__ import annotations

import math
from collections.abc import Callable

from fleetstats.results import Estimate


def percent(share: float) -> str:
    """A share (0 to 1) as percent with one decimal: 0.312 -> '31.2 %'."""
    return f"{100 * share:.1f} %"


def amount(value: float) -> str:
    """Money or a large count: three significant digits above 1,000, whole below, groups of three by commas."""
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    digits = max(0, math.floor(math.log10(abs(value))) - 2) if abs(value) >= 1000 else 0
    return f"{round(value, -digits):,.0f}"


def money(value: float, basis: str) -> str:
    """An amount behind the ISO code that begins `basis` ('USD 2025-12 net'): 'USD 31,200'."""
    return f"{basis[:3]} {amount(value)}"


def years(value: float) -> str:
    """A length in years with one decimal."""
    return f"{value:.1f} years"


def count(value: float) -> str:
    """A number of units or visits, rounded to a whole one."""
    return f"{value:,.0f}"


def counted(number: int, one: str, several: str) -> str:
    """A number with its word: '1 visit', '1,200 visits'."""
    return f"{number:,} {one if number == 1 else several}"


def refused(rows: int, cells: int) -> str:
    """How many of the rows were refused, and how many cells of others were left empty."""
    whole = "none was refused" if not rows else "1 was refused" if rows == 1 else f"{rows:,} were refused"
    return whole if not cells else f"{whole}, {cells:,} {'cell' if cells == 1 else 'cells'} that could not be used {'was' if cells == 1 else 'were'} left empty"


def ends(estimate: Estimate, form: Callable[[float], str]) -> str:
    """The interval in words: '24.5 to 38.7', 'more than 9.1', 'at most 3'; empty where neither end is known."""
    if estimate.lower is not None and estimate.upper is not None:
        return f"{_bare(estimate.lower, form)} to {_bare(estimate.upper, form)}"
    if estimate.lower is not None:
        return f"more than {_bare(estimate.lower, form)}"
    return f"at most {_bare(estimate.upper, form)}" if estimate.upper is not None else ""


def _bare(value: float, form: Callable[[float], str]) -> str:
    return form(value).removesuffix(" %").removesuffix(" years")


def with_interval(estimate: Estimate | None, form: Callable[[float], str], missing: str = "cannot say") -> str:
    """The point with its interval in brackets, the interval alone where there is no point, `missing` where there is neither.

    form: percent, years, count or amount.
    """
    if estimate is None:
        return missing
    around = ends(estimate, form)
    if estimate.estimate is None:
        return f"{around}{_unit(form)}" if around else missing
    return f"{form(estimate.estimate)} ({around})" if around else form(estimate.estimate)


def _unit(form: Callable[[float], str]) -> str:
    return {percent: " %", years: " years"}.get(form, "")


def money_with_interval(estimate: Estimate | None, basis: str, missing: str = "cannot say") -> str:
    """An amount with its interval: 'USD 31,200 (28,000 to 35,000)'."""
    return missing if estimate is None else f"{basis[:3]} {with_interval(estimate, amount, missing)}"
