"""The fixed table of fault modes and what each makes a check say; the numbers stand in modes.toml, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Literal

import numpy as np
import numpy.typing as npt
from pydantic import model_validator

from fleetstats.documents import Document, read_document

Cell = tuple[float, str]
Floats = npt.NDArray[np.float64]
NOT_IN_TABLE = "the table of fault modes holds no numbers for this check: keep it for the shop"


class FindingRow(Document):
    """One line of the table: the checks that answer it, in words when bad and when good, and P(bad | mode) with sources.

    bad_when: outcome that counts as bad here ("pass" where passing speaks for a fault outside the unit). hours: hands-on; days: waiting
    (both from memory). bypasses: the check bypasses a protection or opens a gas path.
    """

    name: str
    checks: list[str]
    bad: str
    good: str
    used: bool
    direction: str
    hours: float = 0.0
    days: float = 0.0
    bypasses: bool = False
    bad_when: Literal["pass", "fail"] = "fail"
    cells: dict[str, Cell]


class _File(Document):
    inside: dict[str, Cell]
    outside: dict[str, Cell]
    complaint: dict[str, dict[str, Cell]]
    finding: list[FindingRow]

    @model_validator(mode="after")
    def _adds_up(self) -> _File:
        modes = set(self.inside) | set(self.outside)
        for shares in (self.inside, self.outside, *self.complaint.values()):
            if abs(sum(share for share, _ in shares.values()) - 1) > 1e-9:
                raise ValueError(f"shares of {', '.join(shares)} do not add up to 1")
        if any(set(row.cells) != modes for row in self.finding):
            raise ValueError("a finding lacks a mode or names an unknown one")
        return self


@dataclass(frozen=True, kw_only=True)
class ModeTable:
    """The table as numbers.

    modes: (m,) names. inside: (m,) True for modes of the cooling unit. shares: (m,) share of each mode within its class, before findings.
    rows: the findings in use; bad_given_mode: (r, m) P(bad | mode), same order.
    """

    modes: tuple[str, ...]
    inside: npt.NDArray[np.bool_] = field(repr=False)
    shares: Floats = field(repr=False)
    rows: tuple[FindingRow, ...] = field(repr=False)
    bad_given_mode: Floats = field(repr=False)

    def findings(self, outcomes: Mapping[str, str]) -> list[tuple[int, bool]]:
        """Rows answered by these checks (code -> "pass" or "fail"), in the order the checks stand; bad when any check of the row says so."""
        found: dict[int, bool] = {}
        for check, outcome in outcomes.items():
            for index, row in enumerate(self.rows):
                if check in row.checks and outcome in ("pass", "fail"):
                    found[index] = found.get(index, False) or outcome == row.bad_when
        return list(found.items())

    def unused(self, outcomes: Mapping[str, str]) -> list[tuple[str, str, str]]:
        """(check, outcome, why) of the recorded checks that no row of the table weighs."""
        weighed = {check for row in self.rows for check in row.checks}
        return [
            (check, outcome, "done, but neither passed nor failed: it says nothing for or against" if check in weighed else NOT_IN_TABLE)
            for check, outcome in outcomes.items() if check not in weighed or outcome not in ("pass", "fail")
        ]


@cache
def mode_table(symptom: str | None = None) -> ModeTable:
    """The table for a complaint (code, or None): the shares of the outside modes follow a complaint on one source only."""
    file = read_document(Path(__file__).with_name("modes.toml"), _File)
    outside = file.complaint.get(symptom or "", file.outside)
    cells = {**file.inside, **{mode: outside[mode] for mode in file.outside}}
    rows = tuple(row for row in file.finding if row.used)
    return ModeTable(
        modes=tuple(cells), inside=np.array([mode in file.inside for mode in cells]), shares=np.array([share for share, _ in cells.values()]),
        rows=rows, bad_given_mode=np.array([[row.cells[mode][0] for mode in cells] for row in rows]),
    )
