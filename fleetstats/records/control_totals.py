"""Control totals: the money read from each file, held against a total that the user took from elsewhere."""

from __future__ import annotations

import pandas as pd
from pydantic import Field

from fleetstats.documents import Document, read_document
from fleetstats.errors import InputRefused, Problem
from fleetstats.records.fleet import Fleet
from fleetstats.settings import Project

PARTS = {
    "copies": "bills that stand twice", "replaced": "estimates that a later bill replaced", "left_out": "bills in another currency or tax than their visit's",
    "unclear": "bills of visits whose amounts contradict each other", "superseded": "rows that a correction replaced", "rejected": "rows that were refused",
}
"""What is read and not kept: column of MONEY_READ -> in words."""

UNNAMED = "fleet"
"""Who is taken to have paid where a bill does not say."""

COLUMNS = {"file": "string", "payer": "string", "currency": "string", "stated": "float64", "read": "float64", "difference": "float64", "kept": "float64",
           "verdict": "string"}


class ControlTotal(Document):
    """One total that the user entered."""

    file: str = Field(description="name within raw/")
    payer: str | None = Field(None, description="fleet, warranty, renter or insurer; bills that name none count as the fleet's; left out: all of them")
    amount: float = Field(description="sum of the amounts, net of recoverable tax, in the money of the bills")
    currency: str = Field(pattern="^[A-Z]{3}$", description="ISO 4217 code")
    tolerance: float = Field(0.005, ge=0, description="difference that counts as none, e.g. for rounded tax")


class ControlTotals(Document):
    """`control.toml`: [[total]] tables."""

    total: tuple[ControlTotal, ...] = ()


def compare_totals(project: Project, fleet: Fleet) -> pd.DataFrame:
    """One row per total of `control.toml`: file, payer, currency, stated, read, difference (read - stated), kept, verdict; no row without that file.

    kept: what became the money of visits. The verdict is "agrees", or says how far off it is and which rows of the account are as large.
    Raises InputRefused for a file, payer or currency that the records do not have.
    """
    if not project.control.is_file():
        return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in COLUMNS.items()})
    totals = read_document(project.control, ControlTotals).total
    rows = [_compared(total, number, fleet) for number, total in enumerate(totals, start=1)]
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype(COLUMNS)


def _compared(total: ControlTotal, number: int, fleet: Fleet) -> tuple[object, ...]:
    money = fleet.money_read
    _need(total.file, sorted(fleet.files["file"]), "file", number)
    of_file = money[money["file"] == total.file]
    _need(total.currency, sorted(set(of_file["basis"].str[:3].dropna())), "currency", number)
    rows = of_file[of_file["basis"].str.startswith(total.currency).fillna(False)]
    if total.payer is not None:
        payer = rows["payer"].fillna(UNNAMED)
        _need(total.payer, sorted(set(of_file["payer"].fillna(UNNAMED))), "payer", number)
        rows = rows[payer == total.payer]
    read = round(float(rows["read"].sum()), 2)
    difference = round(read - total.amount, 2)
    return (total.file, total.payer, total.currency, total.amount, read, difference, round(float(rows["kept"].sum()), 2), _verdict(difference, total, rows))


def _need(value: str, known: list[str], field: str, number: int) -> None:
    if value not in known:
        wanted = f"one of: {', '.join(known)}" if known else "a file with amounts"
        what = f"[[total]] number {number} names a {field} that the records do not have"
        raise InputRefused(Problem(what=what, file="control.toml", column=field, found=value, wanted=wanted, remedy="Mend it, or take this total out."))


def _verdict(difference: float, total: ControlTotal, rows: pd.DataFrame) -> str:
    if abs(difference) <= total.tolerance:
        return "agrees"
    side = "more" if difference > 0 else "less"
    as_large = [words for name, words in PARTS.items() if abs(abs(difference) - float(rows[name].sum())) <= total.tolerance]
    return f"{abs(difference):,.2f} {side} read than entered" + (f"; as much as {' or '.join(as_large)}" if as_large else "")
