"""Texts of a row by their role: complaint, cause, correction, parted where one cell holds all three under short headings."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from fleetstats.sources.masking import mask

ROLES = ("complaint_text", "cause_text", "correction_text", "item_text", "readings_text", "note")
MARK = re.compile(
    r"(?i)(?:^|(?<=[\s.;,|/]))(?:(?P<complaint_text>c|comp|complaint|customer states|cust states|reported|concern|plainte)"
    r"|(?P<cause_text>found|fnd|cause|diag|diagnosis|findings?|constat|trouve)"
    r"|(?P<correction_text>did|done|corr|correction|work done|action|repair|remedy|fait|travaux))\s*:\s"
)


def by_role(texts: pd.DataFrame) -> pd.DataFrame:
    """The texts masked, one column per role met, empty text where there is none; index as given.

    A cell that holds several roles under headings such as 'found:' and 'did:' is parted into them.
    """
    parted: dict[str, pd.Series] = {}
    for name in texts.columns:
        for role, part in _parts(texts[name], name).items():
            parted[role] = part if role not in parted else parted[role].str.cat(part, sep=" / ").str.strip(" /")
    return pd.DataFrame({role: parted[role] for role in ROLES if role in parted}, index=texts.index)


def _parts(column: pd.Series, role: str) -> dict[str, pd.Series]:
    """The texts of a column masked and parted, each distinct text once."""
    codes, distinct = pd.factorize(column.fillna(""))
    parts = [_part(mask(str(text)), role) for text in distinct]
    roles = [name for name in ROLES if any(name in part for part in parts)]
    return {name: pd.Series(np.array([part.get(name, "") for part in parts], dtype=object)[codes], index=column.index, dtype="string") for name in roles}


def _part(text: str, role: str) -> dict[str, str]:
    marks = list(MARK.finditer(text)) if ":" in text else []
    if not marks:
        return {role: text}
    parts = {role: text[:marks[0].start()].strip()}
    for mark, after in zip(marks, [*marks[1:], None], strict=True):
        name = str(mark.lastgroup)
        words = text[mark.end():after.start() if after else len(text)].strip()
        parts[name] = f"{parts[name]} / {words}" if parts.get(name) else words
    return {name: part for name, part in parts.items() if part}
