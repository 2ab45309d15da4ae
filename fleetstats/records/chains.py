"""The chain of serials of one vehicle: what sits in it decides what was removed."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd

from fleetstats.records.exchange import OWN_UNIT, in_order_of_exchange, is_exchange
from fleetstats.records.serials import CHAIN, CONFUSION
from fleetstats.records.spelling import folded
from fleetstats.records.stacking import texts

SWAPPED = "removed and fitted serials stood in each other's column"
IN_BOTH = "one serial stood in both columns"


@dataclass
class Exchange:
    """One exchange of a unit while its chain is walked; `reasons` collects what was inferred."""

    removed: str | None
    fitted: str | None
    own_unit: bool
    reasons: list[str] = field(default_factory=list)

    def swap(self) -> None:
        """Put the two serials into each other's place."""
        self.removed, self.fitted = self.fitted, self.removed
        self.reasons.append(SWAPPED)


def follow_chains(visits: pd.DataFrame, first_serials: dict[str, str]) -> pd.DataFrame:
    """Removed and fitted serials of every exchange, mended by the vehicle's chain.

    visits: canonical visits with serials in one spelling. first_serials: vehicle -> unit it came with.
    Returns one row per exchange with a known vehicle (index of `visits`): removed_serial, fitted_serial, reason.
    """
    some = in_order_of_exchange(visits[is_exchange(visits) & visits["vehicle_id"].notna()])
    own = some["fitted_origin"].isin(OWN_UNIT)
    chain = [Exchange(*row) for row in zip(texts(some["removed_serial"]), texts(some["fitted_serial"]), own, strict=True)]
    bounds: dict[str, list[Exchange]] = {}
    for vehicle, exchange in zip(some["vehicle_id"], chain, strict=True):
        bounds.setdefault(vehicle, []).append(exchange)
    for vehicle, exchanges in bounds.items():
        _walk(exchanges, first_serials.get(vehicle))
    rows = [(exchange.removed, exchange.fitted, "; ".join(exchange.reasons)) for exchange in chain]
    return pd.DataFrame(rows, index=some.index, columns=["removed_serial", "fitted_serial", "reason"], dtype="string")


def _walk(exchanges: list[Exchange], sitting: str | None) -> None:
    for position, exchange in enumerate(exchanges):
        later = exchanges[position + 1:position + 3]
        _unswap(exchange, sitting, later)
        _name_removed(exchange, sitting)
        _name_fitted(exchange, later)
        sitting = exchange.fitted


def same(one: str | None, other: str | None) -> bool:
    """Both known, and one unit when letters read for digits are made digits."""
    return one is not None and other is not None and folded(one) == folded(other)


def _unswap(exchange: Exchange, sitting: str | None, later: list[Exchange]) -> None:
    if exchange.own_unit:
        return
    if same(exchange.removed, exchange.fitted):
        # it is the one that sits in the vehicle, or else the one fitted
        if same(exchange.removed, sitting):
            exchange.fitted = None
        else:
            exchange.removed = None
        exchange.reasons.append(f"{IN_BOTH}, taken for the {'fitted' if exchange.removed is None else 'removed'} one")
    if sitting is not None:
        if same(exchange.fitted, sitting) and not same(exchange.removed, sitting):
            exchange.swap()
    elif later and same(exchange.removed, later[0].removed) and not same(exchange.fitted, later[0].removed):
        exchange.swap()


def _name_removed(exchange: Exchange, sitting: str | None) -> None:
    if exchange.removed is None and exchange.own_unit and exchange.fitted is not None:
        exchange.removed = exchange.fitted
        exchange.reasons.append(f"removed serial: {CHAIN}")
    elif exchange.removed is None and sitting is not None:
        exchange.removed = sitting
        exchange.reasons.append(f"removed serial: {CHAIN}")
    elif exchange.removed != sitting and same(exchange.removed, sitting):
        exchange.reasons.append(f"removed serial: {CONFUSION}, read as {exchange.removed}")
        exchange.removed = sitting


def _name_fitted(exchange: Exchange, later: list[Exchange]) -> None:
    if exchange.fitted is not None:
        return
    candidate = exchange.removed if exchange.own_unit else _removed_next(later)
    if candidate is not None and (exchange.own_unit or not same(candidate, exchange.removed)):
        exchange.fitted = candidate
        exchange.reasons.append(f"fitted serial: {CHAIN}")


def _removed_next(later: list[Exchange]) -> str | None:
    """The serial the next exchange took out; where the one after takes out the same text, its columns were swapped."""
    if not later:
        return None
    if len(later) > 1 and same(later[0].removed, later[1].removed) and not later[0].own_unit:
        return later[0].fitted
    return later[0].removed
