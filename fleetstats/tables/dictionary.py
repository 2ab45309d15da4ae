"""The data dictionary, written from the declarations themselves."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import Any

import pandas as pd

from fleetstats.tables.column import Column, Table


def dictionary(tables: Iterable[Table]) -> pd.DataFrame:
    """One row per declared column: table, column, kind, unit, meaning, allowed, required."""
    rows = [
        {
            "table": table.name, "column": name, "kind": column.kind, "unit": column.unit, "meaning": column.meaning,
            "allowed": _allowed(column), "required": not column.nullable or name in table.key,
        }
        for table in tables for name, column in table.columns.items()
    ]
    return pd.DataFrame(rows, columns=["table", "column", "kind", "unit", "meaning", "allowed", "required"])


def dictionary_markdown(tables: Iterable[Table]) -> str:
    """The data dictionary as a Markdown page, one section per table."""
    return "\n".join(["# Data dictionary", "", *(line for table in tables for line in _section(table))])


def _section(table: Table) -> list[str]:
    head = [f"## {table.name}", "", f"{table.meaning}. Key: {', '.join(table.key) or 'none'}.", "", "| column | kind | unit | meaning | allowed | required |", "|---|---|---|---|---|---|"]
    return head + [f"| {' | '.join(_cells(row))} |" for row in dictionary([table]).to_dict("records")] + [""]


def _cells(row: dict[Hashable, Any]) -> list[str]:
    values = [row[name] for name in ("column", "kind", "unit", "meaning", "allowed")] + ["yes" if row["required"] else ""]
    return [str(value).replace("|", "\\|") for value in values]


def _allowed(column: Column) -> str:
    if column.values:
        return ", ".join(column.values)
    if column.low is None and column.high is None:
        return ""
    low = f"{column.low:g}" if column.low is not None else "..."
    return f"{low} to {column.high:g}" if column.high is not None else f"from {low}"
