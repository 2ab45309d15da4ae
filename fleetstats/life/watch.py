"""What of a tenure was under observation."""

from __future__ import annotations

import pandas as pd


def under_watch(tenures: pd.DataFrame) -> pd.DataFrame:
    """Tenures that were under observation at all, ended where the watch ended, with a column `condemned` (bool).

    A removal after the records of a vehicle's shops end is known by chance, while survivors of that time are not: counted as an event it
    would make lives look shorter, so it is right-censored at the end of the watch. An unknown end is no end.
    """
    watched = tenures["watched_to_years"].fillna(float("inf"))
    ended = tenures["ended_years"].clip(upper=watched)
    condemned = (tenures["ending"] == "condemned").to_numpy(bool) & (tenures["ended_years"] <= watched).to_numpy(bool)
    seen = tenures.assign(ended_years=ended, last_good_years=tenures["last_good_years"].clip(upper=ended), condemned=condemned)
    return seen[seen["entered_years"] < seen["ended_years"]]
