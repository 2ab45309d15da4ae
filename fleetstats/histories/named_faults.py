"""Faults of a history, by name: overlap, gap, jump, teleport."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.packed import MISSING_DAY, codes, day_numbers, order_of

NEVER = -(1 << 40)
"""A day number before every day."""
NONE = -1
"""No code of a vehicle or serial."""


def named_faults(stays: pd.DataFrame) -> pd.Series:
    """Faults of each stay, joined by ';', missing for none. stays: in order of vehicle and installation.

    overlap: a unit was removed before it was fitted, by the days written. gap: the visit it began with took a unit out and
    names nothing that went in. jump: the serial removed is not the one fitted. teleport: its serial was in another vehicle
    at the same time.
    """
    jump = stays["fitted_serial"].notna() & stays["removed_serial"].notna() & (stays["fitted_serial"] != stays["removed_serial"])
    flags = {"overlap": stays["overlap"], "gap": stays["nothing_named"], "jump": jump.fillna(False), "teleport": _teleports(stays)}
    text = pd.Series("", index=stays.index, dtype="string")
    for name, flag in flags.items():
        text = text + pd.Series(f"{name};", index=stays.index, dtype="string").where(flag.astype(bool), "")
    return text.str.rstrip(";").replace("", pd.NA)


def _teleports(stays: pd.DataFrame) -> pd.Series:
    """True for stays of one serial in two vehicles that share days; each is held against all others of its serial, without making pairs."""
    known = stays.loc[stays[["serial", "vehicle_id", "installed", "ended"]].notna().all(axis=1), ["serial", "vehicle_id", "installed", "ended"]]
    several = known[known.groupby("serial")["vehicle_id"].transform("nunique") > 1]
    serial, begun, ended = codes(several["serial"]), day_numbers(several["installed"]), day_numbers(several["ended"])
    order = order_of(serial, begun, ended)  # a stay of no days stands before one that begins with it: they share nothing
    serial, vehicle, begun, ended = serial[order], codes(several["vehicle_id"])[order], begun[order], ended[order]
    shared = (_latest_elsewhere(serial, vehicle, ended) > begun) | (_next_elsewhere(serial, vehicle, begun) < ended)
    return pd.Series(stays.index.isin(several.index[order[shared]]), index=stays.index)


def _latest_elsewhere(serial: np.ndarray, vehicle: np.ndarray, ended: np.ndarray) -> np.ndarray:
    """The latest end among the stays before each in other vehicles, `NEVER` for none. All in order of serial and beginning."""
    latest, second, last, current = (NEVER, NONE), NEVER, np.full(len(serial), NEVER), NONE
    for place, (number, van, end) in enumerate(zip(serial.tolist(), vehicle.tolist(), ended.tolist(), strict=True)):
        if number != current:
            latest, second, current = (NEVER, NONE), NEVER, number
        last[place] = second if latest[1] == van else latest[0]
        if van == latest[1]:
            latest = (max(latest[0], end), van)
        elif end > latest[0]:
            latest, second = (end, van), latest[0]
        else:
            second = max(second, end)
    return last


def _next_elsewhere(serial: np.ndarray, vehicle: np.ndarray, begun: np.ndarray) -> np.ndarray:
    """The earliest beginning among the stays after each in other vehicles, `MISSING_DAY` for none. All in order of serial and beginning."""
    first = np.flatnonzero(np.r_[True, (serial[1:] != serial[:-1]) | (vehicle[1:] != vehicle[:-1])]) if len(serial) else np.empty(0, dtype=np.int64)
    following = np.append(first, len(serial))[np.searchsorted(first, np.arange(len(serial)), side="right")]
    same = np.append(serial, NONE)[following] == serial
    return np.where(same, np.append(begun, MISSING_DAY)[following], MISSING_DAY)
