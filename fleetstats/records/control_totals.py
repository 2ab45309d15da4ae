"""Control totals: the money read from each file, held against a total that the user took from elsewhere."""

from __future__ import annotations

import numpy as np
import pandas as pd
from pydantic import Field

from fleetstats.documents import Document, read_document
from fleetstats.errors import InputRefused, Problem
from fleetstats.records.facts import MONEY, amount
from fleetstats.records.fleet import Fleet
from fleetstats.records.stacking import texts
from fleetstats.records.uniting import SEVERAL
from fleetstats.settings import Project

PARTS = {
    "copies": "bills that stand twice", "replaced": "estimates that a later bill replaced", "left_out": "bills in another currency or tax than their visit's",
    "unclear": "bills of visits whose amounts contradict each other", "superseded": "rows that a correction replaced", "rejected": "rows that were refused",
}
"""What is read and not kept: column of MONEY_READ -> in words."""

MOST_LISTED = 6
"""Rows that are named beside a difference."""

UNNAMED = "fleet"
"""Who is taken to have paid where a bill does not say."""

LOSES_MONEY = (*MONEY, "price_basis")
"""Fields of `rejects` without which an amount is not read."""

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

    kept: what became the money of visits. The verdict is "agrees", or says how far off it is, which parts of the account are as large, and which rows of the
    file could explain it: bills of as much where more was read, rows and amounts that were refused where less was.
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
    kept, verdict = round(float(rows["kept"].sum()), 2), _verdict(difference, total, rows, fleet)
    return total.file, total.payer, total.currency, total.amount, read, difference, kept, verdict


def _need(value: str, known: list[str], field: str, number: int) -> None:
    if value not in known:
        wanted = f"one of: {', '.join(known)}" if known else "a file with amounts"
        what = f"[[total]] number {number} names a {field} that the records do not have"
        raise InputRefused(Problem(what=what, file="control.toml", column=field, found=value, wanted=wanted, remedy="Mend it, or take this total out."))


def _verdict(difference: float, total: ControlTotal, rows: pd.DataFrame, fleet: Fleet) -> str:
    if abs(difference) <= total.tolerance:
        return "agrees"
    side = "more" if difference > 0 else "less"
    as_large = [words for name, words in PARTS.items() if abs(abs(difference) - float(rows[name].sum())) <= total.tolerance]
    said = [f"{abs(difference):,.2f} {side} read than entered", *([f"as much as {' or '.join(as_large)}"] if as_large else [])]
    return "; ".join([*said, *(_bills_as_large(difference, total, fleet) if difference > 0 else _lost(total, fleet))])


def _bills_as_large(difference: float, total: ControlTotal, fleet: Fleet) -> list[str]:
    """The rows of the file that became a visit on their own, paid by the payer of the total, and hold as much as was read too much."""
    visits = fleet.visits
    as_large = (np.abs(amount(visits) - difference) <= total.tolerance) & visits["price_basis"].str.startswith(total.currency).fillna(False)
    if total.payer is not None:
        as_large &= visits["payer"].fillna(UNNAMED).eq(total.payer)
    lineage = fleet.lineage[fleet.lineage["table"].eq("visits")]
    alone = lineage[~lineage["record_id"].duplicated(keep=False) & lineage["file"].eq(total.file) & lineage["record_id"].isin(visits.loc[as_large, "visit_id"])]
    return [f"a bill of as much stands in {_listed(alone)}"] if len(alone) else []


def _lost(total: ControlTotal, fleet: Fleet) -> list[str]:
    """What of the file was not read: rows refused (who paid them nobody knows), cells for money left empty, amounts that lack a price basis."""
    rejects = fleet.rejects[fleet.rejects["file"].eq(total.file)]
    rows = rejects[rejects["scope"].eq("row") & rejects["row"].notna()].drop_duplicates(["sheet", "row"])
    cells = _of_payer(rejects[rejects["scope"].eq("cell") & rejects["field"].isin(LOSES_MONEY)].drop_duplicates(["sheet", "row"]), total, fleet)
    without_basis = rejects.loc[rejects["scope"].eq("file") & rejects["field"].isin(LOSES_MONEY), "what"]
    said = [f"refused{'' if total.payer is None else ', whoever paid'}: {_listed(rows)}"] if len(rows) else []
    return [*said, *([f"an amount that could not be read stands in {_listed(cells)}"] if len(cells) else []), *without_basis]


def _of_payer(cells: pd.DataFrame, total: ControlTotal, fleet: Fleet) -> pd.DataFrame:
    """Those of the rows that became part of a visit which the payer of the total paid, or several."""
    if total.payer is None:
        return cells
    paid = fleet.visits["payer"].fillna(UNNAMED).isin([total.payer, SEVERAL])
    lineage = fleet.lineage[fleet.lineage["file"].eq(total.file) & fleet.lineage["record_id"].isin(fleet.visits.loc[paid, "visit_id"])]
    theirs = set(zip(texts(lineage["sheet"]), lineage["row"], strict=True))
    return cells[[place in theirs for place in zip(texts(cells["sheet"]), cells["row"], strict=True)]]


def _listed(rows: pd.DataFrame) -> str:
    """The first rows by number, and how many more there are."""
    places = [f"{f'{sheet} ' if isinstance(sheet, str) else ''}{row}" for sheet, row in zip(rows["sheet"], rows["row"], strict=True)]
    more = f" and {len(places) - MOST_LISTED} more" if len(places) > MOST_LISTED else ""
    return f"{'row' if len(places) == 1 else 'rows'} {', '.join(places[:MOST_LISTED])}{more}"
