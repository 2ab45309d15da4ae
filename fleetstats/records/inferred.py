"""Identities that were inferred, as rows of the ledger: what was written, what it was read as, how sure that is and why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.packed import codes, packed
from fleetstats.records.scoring import THRESHOLD, Match
from fleetstats.records.stacking import stacked, texts


def identities(
    rows: pd.DataFrame, table: str, column: str, written: pd.Series, read_as: pd.Series, matches: Mapping[str, Match],
) -> pd.DataFrame:
    """Rows of `tables.IDENTITIES`: one per file, text and reading, at the first row that has it, `rows` of them.

    rows: with file, sheet, row. written, read_as: by the index of `rows`. matches: text as written -> its score; other texts are left out.
    """
    place, distinct = pd.factorize(written)
    scored = np.flatnonzero(np.array([*(text in matches for text in distinct), False], dtype=bool)[place])
    if not len(scored):
        return tables.IDENTITIES.empty()
    key = packed(codes(rows["file"].iloc[scored]), place[scored], codes(read_as.iloc[scored]))
    _, first, count = np.unique(key, return_index=True, return_counts=True)
    at = scored[first]
    found = [matches[text] for text in written.iloc[at]]
    return tables.IDENTITIES.conform(rows[["file", "sheet", "row"]].iloc[at].assign(
        table=table, column=column, rows=count, written=written.iloc[at], read_as=read_as.iloc[at],
        score=[one.score for one in found], reasons=[one.reasons for one in found],
    ).reset_index(drop=True))


NOT_SURE = "left apart, its identity is not sure"


def left_apart(inferred: pd.DataFrame, wanted: str, remedy: str) -> pd.DataFrame:
    """Rows of `rejects` for identities whose score lies below the threshold; what was written was kept."""
    low = inferred[(inferred["score"] < THRESHOLD).to_numpy(bool)]
    score = low["score"].map("{:.2f}".format).astype("string")
    return tables.REJECTS.conform(low[["file", "sheet", "row", "column"]].assign(
        scope="remark", what=f"{NOT_SURE}: " + low["reasons"] + " (score " + score + ")", found=low["written"], wanted=wanted, remedy=remedy,
    ).reset_index(drop=True))


def left_empty(rows: pd.DataFrame, column: str, written: pd.Series, matches: Iterable[Match], what: str, wanted: str, remedy: str) -> pd.DataFrame:
    """Rows of `rejects` for cells that were emptied because of what they name, one for each. rows: with file, sheet, row; written, matches: of each row."""
    why = [f"{what}: {one.reasons} (score {one.score:.2f})" for one in matches]
    return tables.REJECTS.conform(rows[["file", "sheet", "row"]].assign(
        column=column, field=column, scope="cell", what=why, found=written, wanted=wanted, remedy=remedy,
    ).reset_index(drop=True))


def from_chains(visits: pd.DataFrame, chained: pd.DataFrame) -> pd.DataFrame:
    """Rows of `tables.IDENTITIES` for serials that the chain of a vehicle gave or mended.

    visits: with file, sheet, row and the serials before. chained: of `chains.follow_chains`, with a score and reasons per column.
    """
    parts = [tables.IDENTITIES.empty()]
    for role in ("removed", "fitted"):
        told = chained[chained[f"{role}_score"].notna().to_numpy(bool)]
        address = visits.loc[told.index, ["file", "sheet", "row"]]
        parts.append(tables.IDENTITIES.conform(address.assign(
            table="visits", column=f"{role}_serial", written=texts(visits.loc[told.index, f"{role}_serial"]), read_as=told[f"{role}_serial"],
            score=told[f"{role}_score"], reasons=told[f"{role}_reasons"], rows=1,
        )))
    return stacked(parts)


def in_place(parts: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """The identities of all steps in the order of files and rows."""
    every = stacked(parts).sort_values(["file", "sheet", "row", "table", "column", "written", "read_as"], kind="stable", ignore_index=True)
    return tables.IDENTITIES.check(every)
