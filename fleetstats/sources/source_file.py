"""`SourceFile`: what reading one file gave, with the fate of every row."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

import pandas as pd

from fleetstats.errors import Problem


@dataclass(frozen=True, kw_only=True)
class SourceFile:
    """The rows of one file that fill one canonical table. A workbook that fills several tables gives several of these.

    file: name within raw/. sha256: fingerprint of its bytes. source: profile that read it, or the file's stem.
    covers_from, covers_to: days the source covers, None where nobody said. table: name of the canonical table.
    tax_taken_off: rate of tax that all amounts of the file held and now do not; None where they are net, or only some rows held it.
    rows_read: rows of the file that belong to this table, headings left out.
    rows: typed rows, columns of the table (identifiers made later may be missing) and `file`, `sheet`, `row` (as a person counts);
    where cells of the file say 'as above' also `inferred`: what was taken from which row, in words.
    checks: columns of tables.CHECKS without visit_id, and `sheet`, `row` to join them by.
    fates: sheet, row, fate ("set aside", "rejected", "furniture"), reason; one for every row that is not in `rows`.
    problems: cells left empty and rows refused. corrects: sources whose rows these rows replace.
    unknown: words that the vocabulary did not recognise, columns of `UNKNOWN_COLUMNS` (sources/unknown.py).
    """

    file: str
    sha256: str
    source: str
    covers_from: dt.date | None = None
    covers_to: dt.date | None = None
    tax_taken_off: float | None = None
    table: str
    rows_read: int
    rows: pd.DataFrame = field(repr=False)
    checks: pd.DataFrame = field(repr=False)
    fates: pd.DataFrame = field(repr=False)
    problems: tuple[Problem, ...] = field(repr=False)
    corrects: tuple[str, ...] = ()
    unknown: pd.DataFrame = field(repr=False)

    def __post_init__(self) -> None:
        accounted = len(self.rows) + len(self.fates)
        if self.rows_read != accounted:
            raise AssertionError(f"{self.file}: {self.rows_read} rows read, {accounted} accounted for")
