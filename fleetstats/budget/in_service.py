"""Units in service at as_of, and how much of each coming month their vehicles will still be there."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from fleetstats.life.model import size_class

DAYS_PER_YEAR = 365.25
RECENT_YEARS = 3.0
"""What was fitted within these years is taken for what will be fitted."""
FEWEST_FOR_SEASON = 40
"""With fewer condemned units than this the year is spread evenly."""

Floats = npt.NDArray[np.float64]


def units_in_service(tenures: pd.DataFrame, day: pd.Timestamp) -> pd.DataFrame:
    """One row per unit in service: vehicle_id, origin ("new" or "reconditioned"; unknown counts as new), origin_known, size_l, hot, size (text),

    age_years on `day`.
    """
    now = tenures[(tenures["ending"] == "in service").fillna(False).astype(bool)]
    age = now["unit_age_at_installed_years"] + (day - now["installed"]).dt.days / DAYS_PER_YEAR
    return pd.DataFrame({
        "vehicle_id": now["vehicle_id"], "origin": now["origin"].where(now["origin"] == "reconditioned", "new"),
        "origin_known": now["origin"] != "unknown", "size_l": now["size_l"], "hot": now["hot"], "size": size_class(now["size_l"]),
        "age_years": age.clip(lower=0.0),
    }).reset_index(drop=True)


def share_of_month(units: pd.DataFrame, vehicles: pd.DataFrame, starts: pd.DatetimeIndex) -> Floats:
    """(n, months) share of each month that the unit's vehicle is still in the fleet; `starts` are the months' first days and the day after the last."""
    exits = vehicles.drop_duplicates("vehicle_id").set_index("vehicle_id")
    leaves = exits["out_of_service"].fillna(exits["planned_exit"])
    day = units["vehicle_id"].map(leaves).astype("datetime64[s]").fillna(starts[-1]).to_numpy("datetime64[D]")
    first, last = starts[:-1].to_numpy("datetime64[D]"), starts[1:].to_numpy("datetime64[D]")
    there = (day[:, None] - first[None, :]) / np.timedelta64(1, "D")
    return np.asarray(np.clip(there / ((last - first) / np.timedelta64(1, "D")), 0.0, 1.0))


def fitted_share_reconditioned(tenures: pd.DataFrame, as_of: pd.Timestamp) -> float | None:
    """Share of reconditioned units among those fitted by a visit in the last RECENT_YEARS; None when none of known origin was."""
    recent = tenures[tenures["installed_by"].notna() & (tenures["installed"] > as_of - pd.Timedelta(days=DAYS_PER_YEAR * RECENT_YEARS))]
    known = recent[recent["origin"].isin(["new", "reconditioned"])]
    return float((known["origin"] == "reconditioned").mean()) if len(known) else None


def season_draws(tenures: pd.DataFrame, n: int, rng: np.random.Generator) -> Floats | None:
    """(n, 4) factor of each calendar quarter, mean 1, from the quarters in which units were condemned; row 0 the point.

    None where fewer than FEWEST_FOR_SEASON were: the year is then spread evenly.
    """
    condemned = tenures.loc[(tenures["ending"] == "condemned").fillna(False).astype(bool), "ended"]
    if len(condemned) < FEWEST_FOR_SEASON:
        return None
    counts = np.bincount(condemned.dt.quarter.to_numpy(int) - 1, minlength=4) + 1.0
    return np.asarray(4 * np.vstack([counts / counts.sum(), rng.dirichlet(counts, n - 1)]))
