"""`Draft`: the rows of one table on their way to records, and the fate each one meets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.accept import at_the_door, gather
from fleetstats.records.ledger import entries
from fleetstats.records.stacking import texts
from fleetstats.records.supersede import superseded
from fleetstats.sources import SourceFile


@dataclass
class Draft:
    """Rows of one table by address (positions as index) with `fate`, `record_id`, `why` and `replaced_by` as they become known."""

    table: tables.Table
    rows: pd.DataFrame
    rejects: list[pd.DataFrame] = field(default_factory=list)

    @classmethod
    def of(cls, files: list[SourceFile], table: tables.Table, corrects: Mapping[str, tuple[str, ...]]) -> Draft:
        """The rows of `files` for `table`; those refused at the door and those corrected have met their fate."""
        rows, refused, told = at_the_door(gather(files, table), table)
        by = superseded(rows[~refused], table.name, corrects).reindex(rows.index)
        fate = pd.Series(pd.NA, index=rows.index, dtype="string").mask(by.notna(), "superseded").mask(refused, "rejected")
        why = fate.map({"superseded": "corrected by another row", "rejected": "a value that must be there is missing or broken"}).astype("string").fillna("")
        nameless = pd.Series(pd.NA, index=rows.index, dtype="string")
        return cls(table, rows.assign(fate=fate, why=why, record_id=nameless, replaced_by=by), [told])

    @property
    def live(self) -> pd.DataFrame:
        """The rows that may still become records, positions from 0, `at` their place in `rows`."""
        alive = self.rows[self.rows["fate"].isna()]
        return alive.drop(columns=["fate", "why", "record_id", "replaced_by"]).assign(at=alive.index).reset_index(drop=True)

    def settle(self, at: np.ndarray, groups: np.ndarray, why: np.ndarray, leaders: np.ndarray, ids: pd.Series) -> None:
        """Give the live rows their fate: leaders accepted, the others of their group merged.

        at: places of the live rows. groups, why: group and rule per live row. leaders: places of the accepted rows.
        ids: record id by group (missing where the table has no key).
        """
        accepted = np.isin(at, leaders)
        fates = pd.DataFrame({
            "fate": np.where(accepted, "accepted", "merged"), "record_id": texts(pd.Series(groups).map(ids)), "why": np.where(accepted, "", why),
        }, index=at, dtype="string")
        for name in fates.columns:
            self.rows[name] = fates[name].reindex(self.rows.index).fillna(self.rows[name])
        self._follow_corrections()

    def _follow_corrections(self) -> None:
        """Corrected rows point to the record of the row that replaced them, through several corrections if need be."""
        for _ in range(len(self.rows)):
            open_ones = self.rows["replaced_by"].notna() & self.rows["record_id"].isna()
            found = self.rows["record_id"].reindex(self.rows.loc[open_ones, "replaced_by"].astype("int64"))
            if not found.notna().any():
                break
            self.rows.loc[open_ones, "record_id"] = found.to_numpy()

    def lineage(self, inferred: pd.Series | None = None) -> pd.DataFrame:
        """Rows of `lineage`. inferred: per record id, what was inferred about identities; told at the accepted row."""
        reasons = _joined(self.rows["reason"], self.rows["why"])
        if inferred is not None:
            more = self.rows["record_id"].map(inferred).astype("string").where(self.rows["fate"] == "accepted").fillna("")
            reasons = _joined(reasons, more)
        reason = reasons.mask(reasons == "")
        return entries(self.rows, self.table.name, reason)

    def note(self, where: pd.Series, text: pd.Series | str) -> None:
        """Add to the reason of the rows `where` (boolean, index of rows)."""
        told = pd.Series(text, index=self.rows.index, dtype="string").where(where.fillna(False), "")
        self.rows["reason"] = _joined(self.rows["reason"], told)


def _joined(one: pd.Series, two: pd.Series) -> pd.Series:
    both = (one != "") & (two != "")
    return (one + pd.Series("; ", index=one.index, dtype="string").where(both, "") + two).astype("string")
