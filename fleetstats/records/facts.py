"""What rows of visits say of vehicle, days and money, as numbers: these are compared before any text is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.exchange import opened
from fleetstats.records.packed import codes, day_numbers, packed, repeated

MONEY = ["parts_cost", "labour_cost", "other_cost", "total_cost"]
ROUNDING = 0.02
"""Money by which a total and its parts, each rounded to the cent, may differ."""


@dataclass(frozen=True)
class Facts:
    """One entry per row of visits.

    vehicle: code, -1 for none. begun: day number, `MISSING_DAY` for none. money: amount, NaN for none; cents: the same in
    whole hundredths, 0 for none. near: another row that may be of its vehicle may name the same amount; none is missed.
    """

    vehicle: np.ndarray
    begun: np.ndarray
    money: np.ndarray
    cents: np.ndarray
    near: np.ndarray


def facts_of(visits: pd.DataFrame) -> Facts:
    """The facts of typed rows with vehicle numbers of the register."""
    vehicle, money = codes(visits["vehicle_id"]), amount(visits)
    cents = np.round(np.nan_to_num(money) * 100).astype(np.int64)
    return Facts(vehicle, day_numbers(opened(visits)), money, cents, in_company(vehicle, cents))


def amount(visits: pd.DataFrame) -> np.ndarray:
    """The money of each row: its total, else the sum of its parts; NaN when it names none."""
    return np.round(total_or_parts(visits), 2)


def total_or_parts(visits: pd.DataFrame) -> np.ndarray:
    """The same, not rounded."""
    total = visits["total_cost"].to_numpy(np.float64)
    return np.where(np.isnan(total), parts_together(visits), total)


def parts_together(visits: pd.DataFrame) -> np.ndarray:
    """The sum of the parts that each row states; NaN where it states none."""
    parts = visits[MONEY[:3]].to_numpy(np.float64)
    return np.where(np.isnan(parts).all(axis=1), np.nan, np.nansum(parts, axis=1))


def without_total(visits: pd.DataFrame) -> pd.Series:
    """Visits that state parts and no total, so that the sum of their parts is their amount."""
    return pd.Series(visits["total_cost"].isna().to_numpy(bool) & ~np.isnan(parts_together(visits)), index=visits.index)


def contradicted(visits: pd.DataFrame, lineage: pd.DataFrame) -> pd.Series:
    """Visits whose total does not fit their stated parts by more than ROUNDING.

    It lies below their sum, or above it though every kind of part is stated: else something may stand in the total alone. A visit of several rows is
    held only against being below, because its rows need not state the same.
    """
    rest = visits["total_cost"].to_numpy(np.float64) - parts_together(visits)
    rows = lineage.loc[lineage["table"].eq("visits") & lineage["fate"].isin(["accepted", "merged"]), "record_id"].value_counts()
    alone = (visits["visit_id"].map(rows).fillna(1).eq(1) & visits[MONEY[:3]].notna().all(axis=1)).to_numpy(bool)
    return pd.Series((rest < -ROUNDING) | (alone & (rest > ROUNDING)), index=visits.index)


def in_company(vehicle: np.ndarray, *keys: np.ndarray) -> np.ndarray:
    """True where another row may have the same keys and be of the same vehicle: one of them names none, or both name one. None is missed; a row that names no
    vehicle is true also where it stands alone."""
    alike, nameless = repeated(packed(vehicle, *keys)), vehicle < 0
    if nameless.any():
        key = packed(*keys)
        alike |= np.isin(key, key[nameless])
    return alike
