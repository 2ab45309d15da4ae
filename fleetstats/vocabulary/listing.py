"""Every code with its definition, for people who map columns, teach words or write a case."""

from __future__ import annotations

import pandas as pd

from fleetstats.vocabulary.entries import FACETS, shipped_entries


def codes() -> pd.DataFrame:
    """One row per shipped code: facet, code, item (of findings and actions), group (of complaints), definition, source."""
    rows: list[dict[str, str]] = [
        {"facet": facet, "code": code, "item": entry.item or "", "group": entry.group or "", "definition": entry.definition, "source": entry.source}
        for code, (facet, entry) in shipped_entries().items()
    ]
    place = {facet: number for number, facet in enumerate(FACETS.values())}
    rows.sort(key=lambda row: (place[row["facet"]], row["code"]))
    return pd.DataFrame(rows)


def codes_markdown() -> str:
    """The codes as a Markdown page, one section per facet."""
    lines = ["# Codes", ""]
    for facet, rows in codes().groupby("facet", sort=False):
        lines += [f"## {facet}", "", "| code | item or group | definition | source |", "|---|---|---|---|"]
        cells = zip(rows["code"], rows["item"].where(rows["item"] != "", rows["group"]), rows["definition"], rows["source"], strict=True)
        lines += [f"| {' | '.join(map(str, texts))} |" for texts in cells]
        lines.append("")
    return "\n".join(lines)
