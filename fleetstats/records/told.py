"""What an import did to every input, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from fleetstats.records.columnar import rows_of
from fleetstats.records.journal import RAW
from fleetstats.tables.journal import COUNTED

PACKAGE = "fleetstats"
"""Name of the package among the inputs."""


@dataclass(frozen=True, kw_only=True)
class InputChange:
    """One input that changed, or whose rows came to another fate.

    name: of the file as it lies in the project folder. change: one of tables.journal.CHANGES. says: rows by fate before and now, in words;
    empty for what holds no rows.
    """

    name: str
    change: str
    says: str


def input_changes(changes: pd.DataFrame) -> tuple[InputChange, ...]:
    """The inputs of which something changed, in order of name. changes: columns as `journal.changes` gives them."""
    told = (_told(row) for row in rows_of(changes))
    return tuple(change for change in told if change.change != "unchanged" or change.says)


def change_lines(changes: pd.DataFrame) -> list[str]:
    """A line for each input that changed, and one that counts the files that did not. changes: as above."""
    changed = input_changes(changes)
    width = max((len(change.name) for change in changed), default=0)
    lines = [f"{change.name:<{width}}  {change.change:<9}  {change.says}".rstrip() for change in changed]
    same = int(changes["name"].str.startswith(RAW).sum()) - sum(change.name.startswith(RAW) for change in changed)
    return [*lines, f"{same} {'file' if same == 1 else 'files'} as before"] if same else lines


def _told(row: Mapping[Any, Any]) -> InputChange:
    name = "the package itself" if row["name"] == PACKAGE else str(row["name"])
    return InputChange(name=name, change=str(row["change"]), says=_rows(row) if name.startswith(RAW) else "")


def _rows(row: Mapping[Any, Any]) -> str:
    """Rows by fate: what a file brings or took with it, else only what differs."""
    if row["change"] in ("added", "removed"):
        counts = {name: row[name if row["change"] == "added" else f"{name}_before"] or 0 for name in COUNTED}
        return ", ".join(f"{count:,} {_plain(name)}" for name, count in counts.items() if count or name == COUNTED[0])
    differing = [f"{row[name]:,} {_plain(name)} (before {row[f'{name}_before']:,})" for name in COUNTED if row[name] != row[f"{name}_before"]]
    was = [f"was {row['was_named']}"] if row["was_named"] else []
    same = [] if row["change"] == "unchanged" else ["as many rows with the same fates as before"]
    return ", ".join([*was, *(differing or same)])


def _plain(name: str) -> str:
    return name.replace("_", " ")
