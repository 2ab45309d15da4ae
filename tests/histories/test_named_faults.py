"""Teleports against the plain rule, pair by pair."""

from __future__ import annotations

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from fleetstats.histories.named_faults import named_faults

STAY = st.tuples(st.sampled_from(["A", "B", None]), st.sampled_from(["V1", "V2", "V3"]), st.integers(0, 8), st.integers(0, 5))
DAY = pd.Timestamp("1969-12-29")
"""Days before and after the first day of the calendar that numbers are counted from."""


def _table(stays: list[tuple[str | None, str, int, int]]) -> pd.DataFrame:
    """Stays of serial, vehicle, first day, length."""
    serials = pd.array([serial for serial, _, _, _ in stays], dtype="string")
    begun = pd.to_timedelta([first for _, _, first, _ in stays], unit="D")
    length = pd.to_timedelta([days for _, _, _, days in stays], unit="D")
    return pd.DataFrame({
        "serial": serials, "vehicle_id": pd.array([van for _, van, _, _ in stays], dtype="string"), "installed": DAY + begun, "ended": DAY + begun + length,
        "fitted_serial": serials, "removed_serial": serials, "overlap": False, "nothing_named": False,
    })


@given(st.lists(STAY, max_size=12))
def test_each_stay_is_held_against_all_others_of_its_serial(stays: list[tuple[str | None, str, int, int]]) -> None:
    """A stay is a teleport when any other of its serial, in another vehicle, begins before it ends and ends after it begins."""
    plain = [
        any(serial == other and serial is not None and van != elsewhere and first < begun + days and begun < first + length
            for other, elsewhere, begun, days in stays)
        for serial, van, first, length in stays
    ]
    assert named_faults(_table(stays)).eq("teleport").fillna(False).tolist() == plain


def test_a_serial_of_very_many_stays_is_no_more_work_than_many_serials() -> None:
    """100,000 stays of three days, each begun two days after the one before, with one placeholder for a serial: ten thousand million pairs, which no memory
    holds. Each shares a day with its neighbour in another vehicle; one after a gap shares none."""
    number = np.arange(100_000) % 30_000
    table = _table([("none", f"V{van}", int(2 * first), 3) for van, first in enumerate(number)] + [("none", "V-last", 90_000, 3)])
    assert named_faults(table).eq("teleport").fillna(False).tolist() == [True] * 100_000 + [False]
