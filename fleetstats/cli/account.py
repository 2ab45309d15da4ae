"""The account of an import as text and as data: every row of every file once, and what is not understood."""

from __future__ import annotations

import textwrap
from typing import Any

import pandas as pd

from fleetstats.cli.text import table, table_lines
from fleetstats.figures.words import refused

MOST_FAULTS = 20
"""Faults that are told on a terminal; all of them stand in the JSON."""

COUNTED = ("rows_read", "accepted", "merged", "superseded", "set_aside", "rejected", "furniture")


def account_data(files: pd.DataFrame, unknown: pd.DataFrame) -> dict[str, Any]:
    """`files` and `unknown` for the envelope. files, unknown: as in ImportAccount."""
    return {"files": files[["file", *COUNTED]], "unknown": unknown}


def refused_text(faults: pd.DataFrame) -> str:
    """The commonest faults, a line for each, with what to do below those that it is for. faults: as `records.refusals` gives them."""
    told = faults.head(MOST_FAULTS).assign(order=lambda each: each.groupby("remedy", sort=False).ngroup()).sort_values("order", kind="stable")
    heads, *lines = table_lines(["times", "lost", "file", "column", "why"],
                                [[row["times"], row["scope"], row["file"], row["column"], row["what"]] for row in told.to_dict("records")])
    remedies = told["remedy"].tolist()
    shown = [heads]
    for line, remedy, following in zip(lines, remedies, [*remedies[1:], None], strict=True):
        shown += [line] if remedy == following else [line, textwrap.fill(str(remedy), 110, initial_indent="       -> ", subsequent_indent="          ")]
    left = len(faults) - len(told)
    more = [f"And {left:,} rarer {'fault' if left == 1 else 'faults'}."] if left else []
    return "\n".join(["Refused, and below what to do; --json lists each with its row:", *shown, *more])


def cells_text(rejects: pd.DataFrame) -> str:
    """Every cell that was left empty with its place, its value and what to do, where there are at most MOST_FAULTS; else empty. rejects: of a Fleet."""
    cells = rejects[rejects["scope"].eq("cell") & rejects["row"].notna()]
    if cells.empty or len(cells) > MOST_FAULTS:
        return ""
    lines = [line for row in cells.to_dict("records") for line in _cell_lines(row)]
    return "\n".join(["Each cell that was left empty:", *lines])


def _cell_lines(row: dict[Any, Any]) -> tuple[str, str]:
    sheet = f", sheet '{row['sheet']}'" if pd.notna(row["sheet"]) else ""
    place = f"{row['file']}{sheet}, row {row['row']}, column '{row['column']}'"
    found = f"'{row['found']}'" if pd.notna(row["found"]) else "no value"
    return f"{place}: {found}, {row['what']}", textwrap.fill(str(row["remedy"]), 110, initial_indent="   -> ", subsequent_indent="      ")


def account_text(files: pd.DataFrame, unknown: pd.DataFrame, cells: int, *, frequent: int) -> str:
    """One line per file with its fates, what was lost, then the `frequent` commonest texts nobody has taught yet. cells: as in ImportAccount."""
    rows = [[row["file"], *(int(row[name]) for name in COUNTED)] for row in files.to_dict("records")]
    parts = [table(["file", *(name.replace("_", " ") for name in COUNTED)], rows)]
    parts.append("Rows read = accepted + merged + superseded + set aside (not about the refrigerator) + rejected + furniture (titles, totals, blanks).")
    parts.append(f"Of {int(files['rows_read'].sum()):,} rows {refused(int(files['rejected'].sum()), cells)}.")
    if len(unknown):
        top = [[int(row["count"]), row["text"]] for row in unknown.head(frequent).to_dict("records")]
        parts.append(f"Not understood, {len(unknown):,} texts; the commonest:\n{table(['times', 'text'], top)}\n"
                     "Teach one in words.toml: [words.CODE] and below it phrases = [\"its words\"]; fleetstats dictionary lists the codes. Then import again.")
    return "\n\n".join(parts)
