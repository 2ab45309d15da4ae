"""The chain of serials of one vehicle: what sits in it decides what was removed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.records import scoring
from fleetstats.records.exchange import OWN_UNIT, in_order_of_exchange, is_exchange
from fleetstats.records.kinship import Kinship, ends_otherwise
from fleetstats.records.packed import begins
from fleetstats.records.scoring import CONFUSION, Match, match
from fleetstats.records.serials import CHAIN, LOST_ZEROS, MISREAD
from fleetstats.records.stacking import texts

SWAPPED = "removed and fitted serials stood in each other's column"
IN_BOTH = "one serial stood in both columns"
NEEDED = ["vehicle_id", "complaint_on", "opened_on", "date_in", "date_out", "removed_serial", "fitted_serial", "fitted_origin"]


@dataclass
class Exchange:
    """One exchange of a unit while its chain is walked; `reasons` collects what was inferred, `scores` how sure that is, by role."""

    removed: str | None
    fitted: str | None
    own_unit: bool
    reasons: list[str] = field(default_factory=list)
    scores: dict[str, Match] = field(default_factory=dict)

    def swap(self, *facts: str) -> None:
        """Put the two serials into each other's place."""
        self.removed, self.fitted = self.fitted, self.removed
        self.reasons.append(SWAPPED)
        self.scores["removed"] = self.scores["fitted"] = match(facts)

    def tell(self, role: str, how: str, *facts: str) -> None:
        """Note how the serial of a role was inferred, and what speaks for it."""
        self.reasons.append(f"{role} serial: {how}")
        self.scores[role] = match(facts)


def follow_chains(visits: pd.DataFrame, first_serials: Mapping[str, str], elsewhere: Mapping[str, int] | None = None) -> pd.DataFrame:
    """Removed and fitted serials of every exchange, mended by the vehicle's chain.

    visits: canonical visits with serials in one spelling. first_serials: vehicle -> unit it came with. elsewhere: how often a
    serial stands in other tables than visits. A serial one sign from the one that sits in the vehicle is that one only where it
    stands nowhere else. Returns one row per exchange with a known vehicle (index of `visits`): removed_serial,
    fitted_serial, reason, and per role score and reasons of what was inferred, missing where it was read.
    """
    exchanges = np.flatnonzero(is_exchange(visits).to_numpy(bool) & visits["vehicle_id"].notna().to_numpy(bool))
    some = in_order_of_exchange(pd.DataFrame({name: visits[name].iloc[exchanges] for name in NEEDED}, copy=False))
    vehicle, removed, fitted = (texts(some[name]) for name in ("vehicle_id", "removed_serial", "fitted_serial"))
    own = some["fitted_origin"].isin(OWN_UNIT).to_numpy(bool)
    starts = np.flatnonzero(begins(vehicle))
    first = np.array([first_serials.get(name) for name in vehicle[starts]], dtype=object)
    odd = ~plain_exchanges(removed, fitted, own, starts, first)
    kin = Kinship([*removed, *fitted], elsewhere or {})
    walked: dict[int, Exchange] = {}
    for chain in np.unique(np.searchsorted(starts, np.flatnonzero(odd), side="right")) - 1:
        places = range(starts[chain], starts[chain + 1] if chain + 1 < len(starts) else len(some))
        exchanged = [Exchange(removed[at], fitted[at], own[at]) for at in places]
        _walk(exchanged, first[chain], kin)
        walked.update(zip(places, exchanged, strict=True))
    return _table(removed, fitted, walked, some.index)


def plain_exchanges(removed: np.ndarray, fitted: np.ndarray, own: np.ndarray, starts: np.ndarray, first: np.ndarray) -> np.ndarray:
    """True for exchanges that name both serials, take out what sits in the vehicle and surely put in another.

    Exchanges by vehicle, in their order; starts: where each vehicle begins, first: the unit it came with. A walk changes
    nothing where all of a vehicle's are plain.
    """
    sitting = np.roll(fitted, 1)
    sitting[starts] = first
    named = [out is not None and put is not None for out, put in zip(removed, fitted, strict=True)]
    plain = np.array(named, dtype=bool) & ~own & (removed == sitting)
    plain[plain] = [ends_otherwise(out, put) for out, put in zip(removed[plain], fitted[plain], strict=True)]
    return np.asarray(plain, dtype=bool)


def _table(removed: np.ndarray, fitted: np.ndarray, walked: Mapping[int, Exchange], index: pd.Index) -> pd.DataFrame:
    """The exchanges as they were written, with what the walks say of theirs. walked: by position."""
    said: dict[str, np.ndarray] = {"removed_serial": removed.copy(), "fitted_serial": fitted.copy(), "reason": np.full(len(index), "", dtype=object)}
    where, chain = list(walked), list(walked.values())
    said["removed_serial"][where] = [one.removed for one in chain]
    said["fitted_serial"][where] = [one.fitted for one in chain]
    said["reason"][where] = ["; ".join(one.reasons) for one in chain]
    for role in ("removed", "fitted"):
        found = [one.scores.get(role) for one in chain]
        said[f"{role}_reasons"], said[f"{role}_score"] = np.full(len(index), None, dtype=object), np.full(len(index), np.nan)
        said[f"{role}_reasons"][where] = [one.reasons if one else None for one in found]
        said[f"{role}_score"][where] = [one.score if one else np.nan for one in found]
    types = {name: "float64" if name.endswith("_score") else "string" for name in said}
    return pd.DataFrame({name: pd.Series(values, index=index, dtype=types[name]) for name, values in said.items()}, index=index, copy=False)


def _walk(exchanges: list[Exchange], sitting: str | None, kin: Kinship) -> None:
    before: Exchange | None = None
    for position, exchange in enumerate(exchanges):
        later = exchanges[position + 1:position + 3]
        _unswap(exchange, sitting, later, kin)
        _name_removed(exchange, sitting, before, kin)
        _name_fitted(exchange, later, kin)
        before, sitting = exchange, exchange.fitted


def _unswap(exchange: Exchange, sitting: str | None, later: list[Exchange], kin: Kinship) -> None:
    if exchange.own_unit:
        return
    if kin.same(exchange.removed, exchange.fitted):
        _part(exchange, sitting, kin)
    if sitting is not None:
        if kin.same(exchange.fitted, sitting) and not kin.same(exchange.removed, sitting):
            exchange.swap(scoring.CHAIN, *([scoring.NEXT] if _out_next(exchange, later, kin) else []))
    elif _out_next(exchange, later, kin) and not kin.same(exchange.fitted, later[0].removed):
        exchange.swap(scoring.NEXT)


def _out_next(exchange: Exchange, later: list[Exchange], kin: Kinship) -> bool:
    """Whether the next exchange took out what this one says it took out."""
    return bool(later) and kin.same(exchange.removed, later[0].removed)


def _part(exchange: Exchange, sitting: str | None, kin: Kinship) -> None:
    """One serial in both columns is the one that sits in the vehicle, or else the one fitted."""
    taken = "removed" if kin.same(exchange.removed, sitting) else "fitted"
    if taken == "removed":
        exchange.fitted = None
    else:
        exchange.removed = None
    exchange.reasons.append(f"{IN_BOTH}, taken for the {taken} one")


def _name_removed(exchange: Exchange, sitting: str | None, before: Exchange | None, kin: Kinship) -> None:
    written = exchange.removed
    if written is None and exchange.own_unit and exchange.fitted is not None:
        exchange.removed = exchange.fitted
        exchange.tell("removed", CHAIN, scoring.CHAIN)
    elif written is None and sitting is not None:
        exchange.removed = sitting
        exchange.tell("removed", CHAIN, scoring.CHAIN)
    elif written is not None and sitting is not None and written != sitting:
        way = kin.way(written, sitting)
        if way is None:
            _misread(exchange, written, sitting, before, kin)
            return
        exchange.removed = sitting
        exchange.tell("removed", f"{LOST_ZEROS if way == scoring.ZEROS else CONFUSION}, read as {written}", way, scoring.CHAIN)


def _misread(exchange: Exchange, written: str, sitting: str, before: Exchange | None, kin: Kinship) -> None:
    """Where what was removed is one sign from what sits in the vehicle, the one of the two that stands nowhere else is the other, misread.

    Otherwise both stay as written, and the history has a jump. An exchange never took out the unit that it put in.
    """
    found = kin.misread(written, sitting)
    if found is None:
        return
    if found.sure and not kin.same(sitting, exchange.fitted):
        exchange.removed = sitting
        exchange.reasons.append(f"removed serial: {MISREAD}, read as {written}")
    elif before is not None and not kin.same(written, before.removed) and (other := kin.misread(sitting, written)) is not None and other.sure:
        before.fitted, before.scores["fitted"] = written, other
        before.reasons.append(f"fitted serial: {MISREAD}, read as {sitting}")
        return
    exchange.scores["removed"] = found


def _name_fitted(exchange: Exchange, later: list[Exchange], kin: Kinship) -> None:
    if exchange.fitted is not None:
        return
    candidate = exchange.removed if exchange.own_unit else _removed_next(later, kin)
    if candidate is not None and (exchange.own_unit or not kin.same(candidate, exchange.removed)):
        exchange.fitted = candidate
        exchange.tell("fitted", CHAIN, scoring.CHAIN if exchange.own_unit else scoring.NEXT)


def _removed_next(later: list[Exchange], kin: Kinship) -> str | None:
    """The serial the next exchange took out; where the one after takes out the same text, its columns were swapped."""
    if not later:
        return None
    if len(later) > 1 and kin.same(later[0].removed, later[1].removed) and not later[0].own_unit:
        return later[0].fitted
    return later[0].removed
