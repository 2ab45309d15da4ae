"""The money of a visit in words: what is kept, what the file states, and whether its total fits its parts."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from fleetstats.records import MONEY, Fleet, contradicted, total_or_parts


def money_lines(fleet: Fleet, visit: pd.Series) -> list[str]:
    """The amount of a visit and of what it was made; beside it the gross amounts, where the file states these and tax was taken off."""
    parts = _parts(visit)
    amount = float(total_or_parts(visit.to_frame().T)[0])
    if pd.isna(amount):
        return []
    basis = "no stated currency" if pd.isna(visit["price_basis"]) else str(visit["price_basis"])
    summed = pd.isna(visit["total_cost"])
    made = f"{_sum(parts)} = {amount:,.2f}, total not stated, in {basis}" if summed else f"{amount:,.2f} in {basis}"
    rate = tax_of(fleet, str(visit["visit_id"]))
    if not rate:
        return [f"total cost: {made}" if summed else f"total cost: {amount:,.2f}, stated in {basis}"]
    gross = _sum([part * (1 + rate) for part in parts]) if summed else f"{amount * (1 + rate):,.2f}"
    return [f"total cost: {made}; the file states {gross} gross, and {100 * rate:g} % tax was taken off"]


def money_doubts(fleet: Fleet, visit_id: str) -> Iterator[str]:
    """A total that does not fit the parts stated beside it, in the money of the file."""
    visit = fleet.visits[fleet.visits["visit_id"].eq(visit_id)]
    if contradicted(visit, fleet.lineage).any():
        rate = tax_of(fleet, visit_id)
        here = visit.iloc[0]
        parts = [part * (1 + rate) for part in _parts(here)]
        said = f"{_sum(parts)} = {sum(parts):,.2f}, and a total of {here['total_cost'] * (1 + rate):,.2f}{' (gross)' if rate else ''}"
        yield f"the file states parts of {said}: the total was taken"


def tax_of(fleet: Fleet, visit_id: str) -> float:
    """The rate of tax taken off the amounts of a visit, 0 where none was or its rows do not agree."""
    lineage = fleet.lineage
    rows = lineage[lineage["table"].eq("visits") & lineage["record_id"].eq(visit_id) & lineage["fate"].isin(["accepted", "merged"])]
    rates = fleet.files.loc[fleet.files["file"].isin(rows["file"]), "tax_taken_off"].fillna(0.0).unique()
    return float(rates[0]) if len(rates) == 1 else 0.0


def _parts(visit: pd.Series) -> list[float]:
    return [float(visit[name]) for name in MONEY[:3] if pd.notna(visit[name])]


def _sum(parts: list[float]) -> str:
    return " + ".join(f"{part:,.2f}" for part in parts)
