"""`Fleet`: everything the store holds, as tables in memory."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from fleetstats import tables
from fleetstats.results import Fingerprint, content_sha256
from fleetstats.settings import Settings
from fleetstats.sources.unknown import UNKNOWN_COLUMNS, empty_unknown

STORED: dict[str, tables.Table] = tables.INPUT_TABLES | {
    table.name: table for table in (tables.PAYMENTS, tables.MONEY_READ, tables.FILES, tables.REJECTS, tables.LINEAGE, tables.IDENTITIES)
}
"""Tables the store holds; `unknown` and `inputs` stand beside them."""


@dataclass(frozen=True, kw_only=True)
class Fleet:
    """The records of one project. Every table is conformed to its declaration in `fleetstats.tables`.

    unknown: texts the vocabulary does not recognise, columns of `sources.unknown.UNKNOWN_COLUMNS`, most frequent first.
    fingerprint: what the records were made from. No connection is held: the frames are copies in memory.
    """

    vehicles: pd.DataFrame
    shops: pd.DataFrame
    assignments: pd.DataFrame
    visits: pd.DataFrame
    checks: pd.DataFrame
    bench_tests: pd.DataFrame
    reconditionings: pd.DataFrame
    unit_moves: pd.DataFrame
    sightings: pd.DataFrame
    cases: pd.DataFrame
    payments: pd.DataFrame
    money_read: pd.DataFrame
    files: pd.DataFrame
    rejects: pd.DataFrame
    lineage: pd.DataFrame
    identities: pd.DataFrame
    unknown: pd.DataFrame
    settings: Settings
    fingerprint: Fingerprint

    @classmethod
    def from_tables(cls, frames: Mapping[str, pd.DataFrame], settings: Settings, fingerprint: Fingerprint | None = None) -> Fleet:
        """A fleet from canonical tables by name; those not given are empty.

        Without `fingerprint` the content of the given tables makes it.
        Raises InputRefused for a table or column that is not declared, and for rows that break a rule.
        """
        given = {name: STORED[name].check(frame) for name, frame in frames.items() if name != "unknown"}
        prints = fingerprint or Fingerprint(inputs={name: content_sha256(frame) for name, frame in sorted(given.items())}, seed=settings.seed)
        complete = {name: given.get(name, table.empty()) for name, table in STORED.items()}
        unknown = frames.get("unknown", empty_unknown())
        return cls(**complete, unknown=unknown.astype(UNKNOWN_COLUMNS), settings=settings, fingerprint=prints)
