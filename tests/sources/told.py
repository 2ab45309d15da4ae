"""The checks that the texts of one visit report."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from fleetstats.sources.readings import Check
from fleetstats.sources.text import read_texts
from fleetstats.vocabulary import Vocabulary


def checks_told(texts: Mapping[str, str], vocabulary: Vocabulary) -> dict[str, Check]:
    """Check by code; texts by role."""
    read = read_texts(pd.DataFrame(dict(texts), index=[2], dtype="string"), vocabulary, table="visits", mixed=False)
    rows = read.checks[list(Check._fields)].astype(object)
    return {str(check.check): check for check in map(Check._make, rows.where(rows.notna(), None).itertuples(index=False))}
