"""The account of an import as text and as data: every row of every file once, and what is not understood."""

from __future__ import annotations

from typing import Any

import pandas as pd

from fleetstats.cli.text import table

COUNTED = ("rows_read", "accepted", "merged", "superseded", "set_aside", "rejected", "furniture")


def account_data(files: pd.DataFrame, unknown: pd.DataFrame) -> dict[str, Any]:
    """`files` and `unknown` for the envelope. files, unknown: as in ImportAccount."""
    return {"files": files[["file", *COUNTED]], "unknown": unknown}


def refused_text(faults: pd.DataFrame) -> str:
    """What was refused, a line per fault with the remedy of the first. faults: as `records.refusals` gives them."""
    rows = [[row["times"], row["scope"], row["file"], row["column"], row["what"]] for row in faults.to_dict("records")]
    remedies = "\n".join(f"- {text}" for text in dict.fromkeys(faults["remedy"]))
    return f"Refused; --json lists each with its row:\n{table(['times', 'lost', 'file', 'column', 'why'], rows)}\n\nWhat to do:\n{remedies}"


def account_text(files: pd.DataFrame, unknown: pd.DataFrame, problems: int, *, frequent: int) -> str:
    """One line per file with its fates, then the `frequent` commonest texts nobody has taught yet."""
    rows = [[row["file"], *(int(row[name]) for name in COUNTED)] for row in files.to_dict("records")]
    parts = [table(["file", *(name.replace("_", " ") for name in COUNTED)], rows)]
    parts.append("Rows read = accepted + merged + superseded + set aside (not about the refrigerator) + rejected + furniture (titles, totals, blanks).")
    if problems:
        parts.append(f"{problems:,} rows or cells were refused; fleetstats check names them.")
    if len(unknown):
        top = [[int(row["count"]), row["text"]] for row in unknown.head(frequent).to_dict("records")]
        parts.append(f"Not understood, {len(unknown):,} texts; the commonest:\n{table(['times', 'text'], top)}\n"
                     "Teach one in words.toml: [words.CODE] and below it phrases = [\"its words\"]; fleetstats dictionary lists the codes. Then import again.")
    return "\n\n".join(parts)
