"""Numbers in a unit's column that are no unit's: the refrigerator's own serial, or a number of its model."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping

import numpy as np
import pandas as pd

from fleetstats.records import scoring
from fleetstats.records.exchange import in_order_of_exchange
from fleetstats.records.scoring import Match, match
from fleetstats.records.spelling import folded, loose, normal, one_sign_apart, pattern
from fleetstats.records.stacking import texts

FOREIGN_SHARE = 0.05
"""A pattern is foreign where at most this share of what its serials touch agrees with a chain (an assumption)."""
AGAINST_AT_LEAST = 2
"""... and where at least so many stand against the chain of their vehicle."""
ONE_PAPER = pd.Timedelta(days=60)
"""Estimate and invoice of one exchange lie nearer together (an assumption)."""
VEHICLES_AT_LEAST = 3
"""A number at so many vehicles, in no chain, is no single unit's."""


def foreign_serials(visits: pd.DataFrame, known: Collection[str], first_serials: Mapping[str, str]) -> dict[str, Match]:
    """Serials of visits that are no cooling unit's, with how sure that is.

    visits: rows that name a serial, in one spelling, with a vehicle and days. known: serials of units in the register, on a bench,
    in reconditionings and moves; they are never foreign. first_serials: vehicle -> unit it came with.
    A unit is fitted before it is removed, so that one exchange puts in what the next takes out. A number that breaks that (it is
    removed where another unit sits, or another unit is removed after it) stands against its chain. Foreign is a number of a pattern
    that only stands against chains; one removed from its vehicle again and again and never fitted; one at many vehicles in no chain.
    """
    pairs = _pairs(visits[visits["vehicle_id"].notna()], first_serials)
    agreeing = {*known, *(put for put, out in pairs if _alike(put, out))}
    against = Counter(text for put, out in pairs if not _alike(put, out) for text in (put, out))
    met = visits[["vehicle_id", "removed_serial", "fitted_serial"]]
    everything = sorted({*met["removed_serial"].dropna().unique(), *met["fitted_serial"].dropna().unique()} - agreeing)
    patterns = _foreign_patterns(everything, agreeing, against)
    stays, many = _never_fitted(visits), _at_many(met)
    found: dict[str, Match] = {}
    for text in everything:
        facts = [scoring.FOREIGN, scoring.SEVERAL] if pattern(text) in patterns else []
        facts += [scoring.STAYS] if text in stays else []
        facts += [scoring.MANY] if text in many else []
        if facts:
            found[text] = match([*facts, *([scoring.BREAKS] if against[text] else [])])
    return found


def _pairs(visits: pd.DataFrame, first_serials: Mapping[str, str]) -> list[tuple[str, str]]:
    """What one exchange of a vehicle put in, and what the next took out, where both are named; the rows of one exchange once."""
    ordered = in_order_of_exchange(visits)
    rows = pd.DataFrame({name: texts(ordered[name]) for name in ("vehicle_id", "removed_serial", "fitted_serial")})
    rows = rows[(rows != rows.shift(1)).any(axis=1)].reset_index(drop=True)
    begins = (rows["vehicle_id"] != rows["vehicle_id"].shift(1)).to_numpy(bool)
    put = texts(rows["fitted_serial"].shift(1))
    put[begins] = [first_serials.get(vehicle) for vehicle in rows.loc[begins, "vehicle_id"]]
    out = texts(rows["removed_serial"])
    named = np.array([a is not None and b is not None for a, b in zip(put, out, strict=True)], dtype=bool)
    return list(zip(put[named], out[named], strict=True))


def _alike(one: str, other: str) -> bool:
    return one == other or folded(one) == folded(other) or loose(one) == loose(other) or one_sign_apart(normal(one), normal(other)) is not None


def _foreign_patterns(doubtful: list[str], agreeing: set[str], against: Counter[str]) -> set[str]:
    good, bad = Counter(map(pattern, agreeing)), Counter(pattern(text) for text in doubtful if against[text])
    every = bad + Counter(pattern(text) for text in doubtful if not against[text])
    return {
        shape for shape, count in bad.items()
        if count >= AGAINST_AT_LEAST and good[shape] <= FOREIGN_SHARE * (good[shape] + every[shape]) and 2 * count >= every[shape]
    }


def _never_fitted(visits: pd.DataFrame) -> set[str]:
    """Serials fitted nowhere and removed from one vehicle at three exchanges of different units, far enough apart to be no papers of one.

    Twice would not do: a unit whose columns were swapped when it was fitted is removed twice.
    """
    days = visits["date_in"].fillna(visits["opened_on"]).fillna(visits["date_out"])
    taken = visits[["vehicle_id", "removed_serial", "fitted_serial"]].assign(day=days).dropna()
    by = taken.groupby(["vehicle_id", "removed_serial"])
    apart = by["day"].max() - by["day"].min()
    again = apart[(apart > ONE_PAPER) & (by["fitted_serial"].nunique() > 2)]
    return set(again.index.get_level_values("removed_serial")) - set(visits["fitted_serial"].dropna())


def _at_many(met: pd.DataFrame) -> set[str]:
    """Serials at `VEHICLES_AT_LEAST` vehicles or more."""
    both = pd.concat([met[["vehicle_id", name]].rename(columns={name: "serial"}) for name in ("removed_serial", "fitted_serial")])
    count = both.dropna().drop_duplicates()["serial"].value_counts()
    return set(count.index[count >= VEHICLES_AT_LEAST])
