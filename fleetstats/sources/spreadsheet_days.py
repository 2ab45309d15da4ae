"""Serial numbers of days in the two date systems of spreadsheets (ECMA-376 / ISO/IEC 29500-1, section 18.17.4)."""

from __future__ import annotations

import datetime as dt
import math

from fleetstats.sources.cell import Fault

EPOCHS = {"1900": dt.date(1899, 12, 30), "1904": dt.date(1904, 1, 1)}
"""The day that serial 0 would be from serial 61 on (1900 system, which counts a 29 February 1900 that never was), and serial 0 itself (1904 system)."""

LEAP_DAY = 60
"""In the 1900 system, the 29 February 1900: no day of the calendar; serials below it stand one day nearer to their epoch."""


def day_of_serial(serial: float, date_system: str) -> dt.date | Fault:
    """The day of a serial number; the part behind the point, a time of day, is dropped. date_system: "1900" or "1904"."""
    if not math.isfinite(serial) or serial < 0:
        return Fault(what="this is no date", wanted="a date")
    whole = math.floor(serial)
    if date_system == "1900":
        if whole == LEAP_DAY:
            return Fault(what="29 February 1900, a day that never was", wanted="a date")
        whole += 1 if whole < LEAP_DAY else 0
    try:
        return EPOCHS[date_system] + dt.timedelta(days=whole)
    except OverflowError:
        return Fault(what="this is no date", wanted="a date")
