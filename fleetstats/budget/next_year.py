"""The next four quarters: units that will truly fail, units that will be removed, and the money for them."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from fleetstats.results import Estimate, Result


@dataclass(frozen=True, kw_only=True)
class NextYear(Result):
    """What to expect in the four quarters after as_of; every estimate is a count or money with its interval.

    quarters: their names, "2026-Q1" ... in order. failures, needless, removals: expected counts per quarter (true failures;
    healthy units that would be condemned; both), same order. total_failures, total_needless, total_removals: over the year.
    cost: per quarter, and total_cost: money of the removals; None without prices. price_basis: e.g. "USD 2025-12 net", or "".
    units: number of units in service that it starts from. Intervals hold parameter and chance together.
    """

    quarters: tuple[str, ...]
    failures: tuple[Estimate, ...]
    needless: tuple[Estimate, ...]
    removals: tuple[Estimate, ...]
    total_failures: Estimate
    total_needless: Estimate
    total_removals: Estimate
    cost: tuple[Estimate, ...] | None
    total_cost: Estimate | None
    price_basis: str
    units: int

    def table(self) -> pd.DataFrame:
        """One row per quarter (and "year") and quantity: quarter, quantity, estimate, lower, upper, unit."""
        lines = [("failures", self.failures, self.total_failures), ("needless", self.needless, self.total_needless)]
        lines.append(("removals", self.removals, self.total_removals))
        rows = [_row(quarter, name, value) for name, values, total in lines for quarter, value in zip((*self.quarters, "year"), (*values, total), strict=True)]
        if self.cost is not None and self.total_cost is not None:
            rows += [_row(quarter, "cost", value) for quarter, value in zip((*self.quarters, "year"), (*self.cost, self.total_cost), strict=True)]
        return pd.DataFrame(rows)


def _row(quarter: str, quantity: str, value: Estimate) -> dict[str, object]:
    return {"quarter": quarter, "quantity": quantity, "estimate": value.estimate, "lower": value.lower, "upper": value.upper, "unit": value.unit}
