"""What a unit will still cost to the vehicle's exit: a backward renewal recursion on a grid of cells.

A cell is 1/12 year unless asked otherwise. A failure lies in the middle of its cell: its money is discounted to there, and the unit
fitted then is worth the mean of the outlooks at both ends of the cell. State: cells to go; the calendar is carried by the day costs, given
for each cell from today to the exit. Everything has a leading axis of draws.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from fleetstats.decision.hazards import CumulativeHazard, Floats


@dataclass(frozen=True, kw_only=True)
class Stay:
    """The rest of a vehicle's stay: its cells, what a day out of service costs in each, and the real discount rate per year.

    day_cost: (cells,) money per day, from today's cell to the last. step_years: length of a cell.
    """

    day_cost: Floats = field(repr=False)
    step_years: float = 1 / 12
    real_rate: float = 0.0

    @property
    def cells(self) -> int:
        """Number of cells to the exit."""
        return len(self.day_cost)

    def discount(self, years: npt.ArrayLike) -> Floats:
        """Factor for money that many years from now."""
        return np.asarray((1 + self.real_rate) ** -np.asarray(years, float))


@dataclass(frozen=True, kw_only=True)
class Successor:
    """What an exchange costs when the unit in place ends: price, labour and freight less core credit (`fixed`), and days out of service."""

    fixed: float
    days: float


@dataclass(frozen=True, kw_only=True)
class Terms:
    """Money that goes with the unit in place.

    remedy_fixed, remedy_days: an outside fault put right. warranty_credit, warranty_years: given back when it truly fails below that age.
    exit_gain, exit_years: what a fresh unit adds to the sale at the exit; it falls evenly to nothing at that age.
    """

    remedy_fixed: float
    remedy_days: float
    warranty_credit: float = 0.0
    warranty_years: float = 0.0
    exit_gain: float = 0.0
    exit_years: float = 10.0


@dataclass(frozen=True, kw_only=True)
class Life:
    """Hazards of one unit from now on: cumulative failure hazard, age now, outside faults per year (n,), needless share of them (n,)."""

    failure: CumulativeHazard = field(repr=False)
    outside: Floats
    needless_share: Floats
    age_years: float = 0.0


@dataclass(frozen=True, kw_only=True)
class _Cells:
    """Per cell of a unit's life: chance of ending there by cause, expected outside repairs, survival at the end; all (n, cells)."""

    ended: Floats
    failed: Floats
    needless: Floats
    repairs: Floats
    survival: Floats


def _cells(life: Life, count: int, step: float) -> _Cells:
    cumulative = life.failure(np.asarray(life.age_years + step * np.arange(count + 1), float))
    rate_needless = (life.outside * life.needless_share)[:, None] * step
    d_failure = np.diff(cumulative, axis=1)
    d_total = d_failure + rate_needless
    log_survival = -np.cumsum(d_total, axis=1)
    before = np.concatenate([np.ones((len(d_total), 1)), np.exp(log_survival[:, :-1])], axis=1)
    ended = before * -np.expm1(-d_total)
    with np.errstate(invalid="ignore", divide="ignore"):
        per_hazard = np.where(d_total > 0, ended / d_total, before)
    repairs = ((1 - life.needless_share) * life.outside)[:, None] * step * per_hazard
    return _Cells(ended=ended, failed=per_hazard * d_failure, needless=per_hazard * rate_needless, repairs=repairs, survival=np.exp(log_survival))


def _own_money(life: Life, stay: Stay, successor: Successor, terms: Terms, cells: _Cells, to_go: int) -> Floats:
    """(n,) discounted money of the unit itself when `to_go` cells are left, without its successors."""
    step, first = stay.step_years, stay.cells - to_go
    middle = step * (np.arange(to_go) + 0.5)
    day = stay.day_cost[first:]
    swap, repair = successor.fixed + successor.days * day, terms.remedy_fixed + terms.remedy_days * day
    credit = np.where(life.age_years + middle < terms.warranty_years, terms.warranty_credit, 0.0)
    weight = stay.discount(middle)
    own = cells.failed[:, :to_go] @ (weight * (swap - credit)) + cells.needless[:, :to_go] @ (weight * (swap + repair))
    own = own + cells.repairs[:, :to_go] @ (weight * repair)
    return np.asarray(own + _exit_money(life, stay, terms, cells, to_go))


def _exit_money(life: Life, stay: Stay, terms: Terms, cells: _Cells, to_go: int) -> Floats:
    """(n,) what a unit of its age adds to the sale at the exit, as a negative cost."""
    gain = terms.exit_gain * max(0.0, 1 - (life.age_years + to_go * stay.step_years) / terms.exit_years)
    alive = cells.survival[:, to_go - 1] if to_go else np.ones(len(cells.survival))
    return np.asarray(-gain * alive * stay.discount(to_go * stay.step_years))


def renewals(life: Life, stay: Stay, successor: Successor, terms: Terms) -> Floats:
    """(n, cells + 1) expected cost to the exit of a fresh unit fitted when 0, 1, ... cells are left, each followed by its like."""
    cells = _cells(life, stay.cells, stay.step_years)
    weighted = cells.ended * stay.discount(stay.step_years * (np.arange(stay.cells) + 0.5))
    worth = np.empty((len(weighted), stay.cells + 1))
    for to_go in range(stay.cells + 1):
        total = _own_money(life, stay, successor, terms, cells, to_go)
        if to_go:
            total = total + _followers(weighted[:, :to_go], worth[:, :to_go], to_go)
            total = total / (1 - 0.5 * weighted[:, 0])
        worth[:, to_go] = total
    return worth


def _followers(weighted: Floats, worth: Floats, to_go: int) -> Floats:
    """(n,) worth of the units fitted later, the part of the first cell that stands on the left side left out."""
    later = worth[:, ::-1]  # cells left after a failure in cell 1, 2, ...: to_go - 1, to_go - 2, ...
    earlier = np.concatenate([np.zeros((len(worth), 1)), later[:, :-1]], axis=1)
    return np.asarray(np.einsum("nj,nj->n", weighted, 0.5 * (earlier + later)))


def outlook(life: Life, stay: Stay, successor: Successor, terms: Terms, after: Floats) -> Floats:
    """(n,) expected cost to the exit of the unit described by `life`, in place today; `after` (n, cells + 1) is the outlook of what follows."""
    cells = _cells(life, stay.cells, stay.step_years)
    weighted = cells.ended * stay.discount(stay.step_years * (np.arange(stay.cells) + 0.5))
    total = _own_money(life, stay, successor, terms, cells, stay.cells)
    if stay.cells == 0:
        return total
    return np.asarray(total + _followers(weighted, after[:, :-1], stay.cells) + 0.5 * weighted[:, 0] * after[:, -1])


def expected_renewals(life: Life, cells: int, step_years: float, *, first: Life | None = None) -> Floats:
    """(n, cells + 1) expected number of ends of a unit's life up to each cell's end: `first` (or a fresh one) and then `life` again and again.

    The same recursion with every end costing 1, nothing discounted.
    """
    stay = Stay(day_cost=np.zeros(cells), step_years=step_years)
    each = Successor(fixed=1.0, days=0.0)
    nothing = Terms(remedy_fixed=0.0, remedy_days=0.0)
    again = renewals(life, stay, each, nothing)
    if first is None:
        return again
    parts = [outlook(first, replace(stay, day_cost=np.zeros(g)), each, nothing, again[:, : g + 1]) for g in range(cells + 1)]
    return np.stack(parts, axis=1)
