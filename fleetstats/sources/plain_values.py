"""Values of the plainest shapes, read many at a time: amounts, dates and identifiers that need no judgement. All others go to the parser of their column."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pyarrow as pa
import pyarrow.compute

from fleetstats.sources.amounts import SIGNS
from fleetstats.sources.cell import MISSING, Plain
from fleetstats.sources.dates import DEFAULTS, EARLIEST, LATEST

CONTACT = "(?i)tel|ph|call|cell|mob|appeler"
"""Letters with which a number to call may begin; identifiers with them are looked at one by one."""

LABELLED = "^(?:S/?N|SER|NO|N°)"
NO_SERIAL = "^(?:0+|1+|2+|3+|4+|5+|6+|7+|8+|9+|[0-9]+E[0-9]+)$"
"""One digit again and again, and a number that a spreadsheet rounded."""

FIRST_DAY, LAST_DAY, DEFAULT_DAYS = np.datetime64(EARLIEST), np.datetime64(LATEST), np.array(sorted(DEFAULTS), dtype="datetime64[D]")
DIGITS_MISSING = sorted(text for text in MISSING if text.isdigit())


def plain_amounts(decimal: str, thousands: str, currency: str | None) -> Plain:
    """Reads unsigned figures with the file's marks, a currency sign of the file's currency before them or none."""
    signs = "".join(sign for sign, meant in SIGNS.items() if len(sign) == 1 and (currency is None or currency in meant))
    group = f"(?:[0-9]{{1,3}}(?:{re.escape(thousands)}[0-9]{{3}}){{1,4}}|[0-9]{{1,15}})" if thousands else "[0-9]{1,15}"
    shape = f"^[{re.escape(signs)}]?{group}(?:{re.escape(decimal)}[0-9]{{1,9}})?$" if signs else f"^{group}(?:{re.escape(decimal)}[0-9]{{1,9}})?$"

    def read(values: Sequence[object]) -> tuple[np.ndarray, list[object]]:
        texts = _texts(values)
        if texts is None:
            return _none(values)
        plain = pa.compute.and_(pa.compute.match_substring_regex(texts, shape), pa.compute.invert(pa.compute.is_in(texts, pa.array(DIGITS_MISSING))))
        figures = pa.compute.utf8_ltrim(pa.compute.if_else(plain, texts, "0"), signs or " ")
        if thousands:
            figures = pa.compute.replace_substring(figures, thousands, "")
        figures = pa.compute.replace_substring(figures, decimal, ".") if decimal != "." else figures
        return plain.to_numpy(zero_copy_only=False), pa.compute.cast(figures, pa.float64()).to_numpy().tolist()
    return read


def plain_dates(order: str | None) -> Plain:
    """Reads year-month-day with dashes and, in the order of the profile ("dmy", "mdy"), three numbers with a year of four digits; without a time of day."""
    shapes = [("^(?P<year>[0-9]{4})-(?P<month>[0-9]{1,2})-(?P<day>[0-9]{1,2})$")]
    if order in ("dmy", "mdy"):
        first, second = ("day", "month") if order == "dmy" else ("month", "day")
        shapes.append(f"^(?P<{first}>[0-9]{{1,2}})[-./ ](?P<{second}>[0-9]{{1,2}})[-./ ](?P<year>[0-9]{{4}})$")

    def read(values: Sequence[object]) -> tuple[np.ndarray, list[object]]:
        texts = _texts(values)
        if texts is None:
            return _none(values)
        days = np.full(len(values), np.datetime64("NaT"), dtype="datetime64[D]")
        for shape in shapes:
            found = pa.compute.extract_regex(texts, shape)
            where = np.flatnonzero(found.is_valid().to_numpy(zero_copy_only=False))
            days[where] = _days(*(pa.compute.cast(pa.compute.struct_field(found, name), pa.int64()).to_numpy(zero_copy_only=False)[where].astype(np.int64)
                                  for name in ("year", "month", "day")))
        return ~np.isnat(days) & ~np.isin(days, DEFAULT_DAYS) & (days >= FIRST_DAY) & (days <= LAST_DAY), days.tolist()
    return read


def _days(year: np.ndarray, month: np.ndarray, day: np.ndarray) -> np.ndarray:
    """Days of the calendar; not a time where there is no such day."""
    months = ((year - 1970) * 12 + np.clip(month, 1, 12) - 1).astype("datetime64[M]")
    days: np.ndarray = months.astype("datetime64[D]") + (np.clip(day, 1, 31) - 1)
    days[(month < 1) | (month > 12) | (day < 1) | (day > 31) | (days.astype("datetime64[M]") != months)] = np.datetime64("NaT")
    return days


def plain_identifiers(values: Sequence[object]) -> tuple[np.ndarray, list[object]]:
    """Up to 16 capital letters and digits (a VIN has 17), a digit among them, without a label such as SN and without letters that may announce a number
    to call."""
    texts = _texts(values)
    if texts is None:
        return _none(values)
    plain = pa.compute.match_substring_regex(texts, "^[A-Z]*[0-9][A-Z0-9]*$")
    for other in (pa.compute.match_substring_regex(texts, CONTACT), pa.compute.match_substring_regex(texts, LABELLED),
                  pa.compute.greater(pa.compute.utf8_length(texts), 16), pa.compute.is_in(texts, pa.array(DIGITS_MISSING))):
        plain = pa.compute.and_(plain, pa.compute.invert(other))
    return plain.to_numpy(zero_copy_only=False), list(values)


def worth_a_look(values: Sequence[object], shape: str) -> list[int]:
    """Places of the values that a Python test need look at: texts in which `shape` (RE2) is found, texts beyond ASCII or of several lines; all of them where
    some value is no text or `shape` is none that RE2 knows.
    """
    texts = _texts(values)
    if texts is None:
        return list(range(len(values)))
    try:
        found = pa.compute.match_substring_regex(texts, f"(?:{shape})|[^\\x00-\\x7f]|\\n")
    except pa.ArrowInvalid:
        return list(range(len(values)))
    return np.flatnonzero(found.to_numpy(zero_copy_only=False)).tolist()


def plain_serials(values: Sequence[object]) -> tuple[np.ndarray, list[object]]:
    """Plain identifiers that are no placeholder such as 0000."""
    plain, meanings = plain_identifiers(values)
    texts = _texts(values)
    if texts is None:
        return plain, meanings
    return plain & ~pa.compute.match_substring_regex(texts, NO_SERIAL).to_numpy(zero_copy_only=False), meanings


def _texts(values: Sequence[object]) -> pa.Array | None:
    """The values as Arrow texts; None where not all of them are texts."""
    try:
        return pa.array(values, pa.string())
    except (pa.ArrowInvalid, pa.ArrowTypeError):
        return None


def _none(values: Sequence[object]) -> tuple[np.ndarray, list[object]]:
    return np.zeros(len(values), dtype=bool), [None] * len(values)
