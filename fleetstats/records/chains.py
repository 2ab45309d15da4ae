"""The chain of serials of one vehicle: what sits in it decides what was removed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from string import ascii_letters, digits

import pandas as pd

from fleetstats.records import scoring
from fleetstats.records.exchange import OWN_UNIT, in_order_of_exchange, is_exchange
from fleetstats.records.scoring import CONFUSION, Match, match
from fleetstats.records.serials import CHAIN, LOST_ZEROS, MISREAD
from fleetstats.records.spelling import folded, loose, normal, one_sign_apart
from fleetstats.records.stacking import texts

SWAPPED = "removed and fitted serials stood in each other's column"
IN_BOTH = "one serial stood in both columns"
NEEDED = ["vehicle_id", "complaint_on", "opened_on", "date_in", "date_out", "removed_serial", "fitted_serial", "fitted_origin"]
FORMS = ((scoring.SPELLING, normal), (scoring.CONFUSION, folded), (scoring.ZEROS, loose))
"""How two serials may be one: by the form that is the same for both."""
_END = {sign: folded(sign) for sign in ascii_letters + digits}
"""A sign at the end of a serial -> what it is read as."""
SIGN = {"sign": scoring.ONE_SIGN, "turned": scoring.TURNED}


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


@dataclass(frozen=True)
class Kinship:
    """Which serials may be one. met: how many rows of all tables bear each text."""

    met: Mapping[str, int]

    def way(self, one: str | None, other: str | None) -> str | None:
        """How two serials are one, as a fact of `scoring`: SPELLING, CONFUSION, ZEROS; None where they are not, or one is missing."""
        if one is None or other is None:
            return None
        if one == other:
            return scoring.SPELLING
        # nearly all pairs are two units, and most of these end otherwise
        if _ends_otherwise(one, other):
            return None
        return next((seen for seen, form in FORMS if form(one) and form(one) == form(other)), None)

    def same(self, one: str | None, other: str | None) -> bool:
        """Both known, and one unit when letters read for digits are made digits and leading zeros left out."""
        return self.way(one, other) is not None

    def misread(self, written: str, other: str) -> Match | None:
        """The score of a text that the chain names with one sign otherwise, or two turned; None where it differs by more."""
        how = one_sign_apart(normal(written), normal(other))
        if how is None:
            return None
        return match([SIGN[how], scoring.CHAIN, scoring.NOWHERE if self.met.get(written, 0) <= 1 else scoring.ELSEWHERE])


def _ends_otherwise(one: str, other: str) -> bool:
    """Whether the last signs alone tell that two serials are two."""
    end, other_end = _END.get(one[-1:]), _END.get(other[-1:])
    return end is not None and other_end is not None and end != other_end


def follow_chains(visits: pd.DataFrame, first_serials: Mapping[str, str], elsewhere: Mapping[str, int] | None = None) -> pd.DataFrame:
    """Removed and fitted serials of every exchange, mended by the vehicle's chain.

    visits: canonical visits with serials in one spelling. first_serials: vehicle -> unit it came with. elsewhere: how often a
    serial stands in other tables than visits. A serial one sign from the one that sits in the vehicle is that one only where it
    stands nowhere else. Returns one row per exchange with a known vehicle (index of `visits`): removed_serial,
    fitted_serial, reason, and per role score and reasons of what was inferred, missing where it was read.
    """
    some = in_order_of_exchange(visits[NEEDED][(is_exchange(visits) & visits["vehicle_id"].notna()).to_numpy(bool)])
    own = some["fitted_origin"].isin(OWN_UNIT)
    removed, fitted = texts(some["removed_serial"]), texts(some["fitted_serial"])
    chain = [Exchange(*row) for row in zip(removed, fitted, own, strict=True)]
    met = Counter([*removed, *fitted])
    met.update(elsewhere or {})
    kin = Kinship(met)
    bounds: dict[str, list[Exchange]] = {}
    for vehicle, exchange in zip(texts(some["vehicle_id"]), chain, strict=True):
        bounds.setdefault(vehicle, []).append(exchange)
    for vehicle, exchanges in bounds.items():
        if not _is_plain(exchanges, first_serials.get(vehicle)):
            _walk(exchanges, first_serials.get(vehicle), kin)
    return _table(chain, some.index)


def _table(chain: list[Exchange], index: pd.Index) -> pd.DataFrame:
    said = {
        "removed_serial": [one.removed for one in chain], "fitted_serial": [one.fitted for one in chain],
        "reason": ["; ".join(one.reasons) for one in chain],
    }
    for role in ("removed", "fitted"):
        found = [one.scores.get(role) for one in chain]
        said[f"{role}_reasons"] = [one.reasons if one else None for one in found]
        said[f"{role}_score"] = [one.score if one else None for one in found]
    types = {name: "float64" if name.endswith("_score") else "string" for name in said}
    return pd.DataFrame({name: pd.Series(values, index=index, dtype=types[name]) for name, values in said.items()}, index=index)


def _is_plain(exchanges: list[Exchange], sitting: str | None) -> bool:
    """Whether every exchange names both serials, takes out what sits in the vehicle and surely puts in another: the walk changes nothing."""
    for exchange in exchanges:
        removed, fitted = exchange.removed, exchange.fitted
        if removed is None or fitted is None or removed != sitting or exchange.own_unit or not _ends_otherwise(removed, fitted):
            return False
        sitting = fitted
    return True


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
    out = kin.same(exchange.removed, later[0].removed) if later else False
    if sitting is not None:
        if kin.same(exchange.fitted, sitting) and not kin.same(exchange.removed, sitting):
            exchange.swap(scoring.CHAIN, *([scoring.NEXT] if out else []))
    elif out and not kin.same(exchange.fitted, later[0].removed):
        exchange.swap(scoring.NEXT)


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
