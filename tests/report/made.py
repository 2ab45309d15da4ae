"""A quarterly result made by hand: nothing answered but what is passed in."""

import datetime as dt
from typing import Any

import pandas as pd

from fleetstats.report import Quarterly
from fleetstats.results import Fingerprint
from tests.figures.made import FILES

NOTHING: dict[str, Any] = {
    "fleet": "the test fleet", "quarter": "2025-Q4", "as_of": dt.date(2025, 12, 31), "level": 0.9, "seed": 1, "version": "0",
    "counts": {"vehicles": 3, "visits": 5}, "period": None, "files": FILES, "unknown": pd.DataFrame(columns=["text", "count"]),
    "rejects": pd.DataFrame(columns=["file", "column", "what", "scope", "times"]), "notes": (), "audit": None, "senders": None, "lives": None, "curves": (),
    "needless_rates": None, "outside_rates": None, "next_year": None, "open_visits": (),
    "spend": pd.DataFrame(columns=["quarter", "price_basis", "spend", "visits", "complete"]),
    "spend_by_year": pd.DataFrame(columns=["year", "price_basis", "spend", "visits", "complete"]),
    "incomplete": {}, "answers": (), "reasons": {},
    "inputs": Fingerprint(inputs={"raw/one.csv": "ab" * 32}),
}


def quarterly(**parts: Any) -> Quarterly:
    """A Quarterly in which every part is missing, with `parts` put in."""
    return Quarterly(**{**NOTHING, **parts})
