"""Figures of a study written between its marks in RESULTS.md."""

import datetime as dt
import platform
from pathlib import Path

import pandas as pd

RESULTS = Path(__file__).with_name("RESULTS.md")


def write_table(mark: str, table: pd.DataFrame) -> None:
    """Put the table, with the day and the system, between the two lines `<!-- mark -->`."""
    sign = f"<!-- {mark} -->"
    head, _, tail = RESULTS.read_text(encoding="utf-8").split(sign)
    lines = ["", f"Made on {dt.date.today()}, Python {platform.python_version()}, {platform.system()}.", ""]
    lines += ["| " + " | ".join(map(str, table.columns)) + " |", "|" + "---|" * len(table.columns)]
    lines += ["| " + " | ".join(map(str, row)) + " |" for row in table.itertuples(index=False)]
    RESULTS.write_text(f"{head}{sign}\n" + "\n".join(lines) + f"\n\n{sign}{tail}", encoding="utf-8")
