"""`Draft`: the rows of one table on their way to records, and the fate each one meets."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.accept import at_the_door, gather
from fleetstats.records.ledger import entries
from fleetstats.records.stacking import texts
from fleetstats.records.supersede import superseded
from fleetstats.sources import SourceFile

REFUSED = "a value that must be there is missing or broken"
CORRECTED = "corrected by another row"
_OWN = ("fate", "why", "record_id", "replaced_by")


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
        by = superseded(rows, ~refused, table.name, corrects)
        met = [refused, by.notna().to_numpy(bool)]
        fate = np.select(met, np.array(["rejected", "superseded"], dtype=object), np.array(None, dtype=object))
        why = np.select(met, [REFUSED, CORRECTED], "")
        known = {"fate": fate, "why": why, "record_id": pd.array([None] * len(rows), dtype="string")}
        own = {name: pd.Series(column, index=rows.index, dtype="string") for name, column in known.items()}
        return cls(table, _with(rows, own | {"replaced_by": by}), [told])

    @property
    def live(self) -> pd.DataFrame:
        """The rows that may still become records, positions from 0, `at` their place in `rows`."""
        alive = self.rows["fate"].isna().to_numpy(bool)
        said = _with(self.rows, {"at": pd.Series(self.rows.index, index=self.rows.index)}, without=_OWN)
        return said if alive.all() else said[alive].reset_index(drop=True)

    def settle(self, at: np.ndarray, leaders: np.ndarray, why: np.ndarray, ids: pd.Series) -> None:
        """Give the live rows their fate: leaders accepted, the others of their event merged.

        at: places of the live rows. leaders: place of the leading row of each. why: reason per live row, of those merged.
        ids: record id by place of the leading row (missing where the table has no key).
        """
        place = pd.Series(np.arange(len(ids)), index=ids.index).reindex(leaders).to_numpy()
        led = at == leaders
        fates = {"fate": np.where(led, "accepted", "merged"), "record_id": texts(ids)[place], "why": np.where(led, "", why)}
        for name, values in fates.items():
            column = texts(self.rows[name])
            column[at] = values
            self.rows[name] = pd.array(column, dtype="string")
        self._follow_corrections()

    def keep_only(self, columns: Collection[str]) -> None:
        """Let go of what the rows say but for `columns` and their fates."""
        self.rows = pd.DataFrame({name: self.rows[name] for name in (*columns, *_OWN)}, copy=False)

    def _follow_corrections(self) -> None:
        """Corrected rows point to the record of the row that replaced them, through several corrections if need be."""
        if not self.rows["replaced_by"].notna().any():
            return
        for _ in range(len(self.rows)):
            open_ones = self.rows["replaced_by"].notna() & self.rows["record_id"].isna()
            found = self.rows["record_id"].reindex(self.rows.loc[open_ones, "replaced_by"].astype("int64"))
            if not found.notna().any():
                break
            self.rows.loc[open_ones, "record_id"] = found.to_numpy()

    def lineage(self, inferred: pd.Series | None = None) -> pd.DataFrame:
        """Rows of `lineage`. inferred: per record id, what was inferred about identities; told at the accepted row."""
        reasons = _joined(texts(self.rows["reason"]), texts(self.rows["why"]))
        if inferred is not None and len(inferred):
            place = inferred.index.get_indexer(pd.Index(self.rows["record_id"]))
            told = np.flatnonzero((place >= 0) & self.rows["fate"].eq("accepted").fillna(False).to_numpy(bool))
            reasons[told] = _joined(reasons[told], texts(inferred)[place[told]])
        reasons[reasons == ""] = None
        return entries(self.rows, self.table.name, pd.Series(reasons, index=self.rows.index, dtype="string"))

    def note(self, where: pd.Series, text: pd.Series | str) -> None:
        """Add to the reason of the rows `where` (boolean, index of rows)."""
        noted = np.flatnonzero(where.fillna(False).to_numpy(bool))
        if not len(noted):
            return
        told = np.full(len(noted), text, dtype=object) if isinstance(text, str) else texts(text.iloc[noted])
        reasons = texts(self.rows["reason"])
        reasons[noted] = _joined(reasons[noted], told)
        self.rows["reason"] = pd.array(reasons, dtype="string")


def _with(rows: pd.DataFrame, more: Mapping[str, pd.Series], without: tuple[str, ...] = ()) -> pd.DataFrame:
    """`rows` with other columns beside them, nothing copied: the columns are replaced whole, never written into."""
    return pd.DataFrame({name: rows[name] for name in rows if name not in without} | dict(more), copy=False)


def _joined(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Texts put together with a semicolon where both say something; where one says nothing, the other."""
    both = (one != "") & (two != "")
    joined = np.where(one == "", two, one)
    joined[both] = one[both] + "; " + two[both]
    return joined
