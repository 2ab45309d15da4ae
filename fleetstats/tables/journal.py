"""The journal: every import that changed the store, and what each did to every input."""

from fleetstats.tables.column import Column, Table
from fleetstats.tables.ledger import FATES

CHANGES = ("added", "corrected", "removed", "renamed", "unchanged")
COUNTED = ("rows_read", *(fate.replace(" ", "_") for fate in FATES))
"""Counts of a file's account, in the order of FILES."""

IMPORTS = Table(name="imports", meaning="one row per import that changed the store; never rewritten, whatever is read anew", key=("number",), columns={
    "number": Column(kind="int", meaning="1 for the first import", nullable=False, low=1),
    "finished": Column(kind="string", meaning="when it was written, UTC, YYYY-MM-DDThh:mm:ssZ", nullable=False),
    "version": Column(kind="string", meaning="version of the package that read the files", nullable=False),
    "rows_read": Column(kind="int", meaning="rows of all files", low=0),
    "seconds": Column(kind="float", meaning="from the lock to the writing", unit="s", low=0),
    "figures": Column(kind="string", meaning="headline figures of the last finished run on these records, JSON; missing where none was made"),
})

IMPORTED = Table(
    name="imported", meaning="one row per import and input: files of raw/, profiles, settings, taught words, the package", key=("number", "name"),
    columns={
        "number": Column(kind="int", meaning="import", nullable=False, low=1),
        "name": Column(kind="string", meaning="input, as it lies in the project folder", nullable=False),
        "change": Column(kind="string", meaning="against the import before", values=CHANGES, nullable=False),
        "was_named": Column(kind="string", meaning="its name before, where the same bytes came back under another"),
        "sha256_before": Column(kind="string", meaning="fingerprint of its bytes at the import before"),
        "sha256": Column(kind="string", meaning="fingerprint of its bytes; missing where it was removed"),
        **{f"{name}_before": Column(kind="int", meaning=f"{name.replace('_', ' ')}, at the import before", low=0) for name in COUNTED},
        **{name: Column(kind="int", meaning=name.replace("_", " "), low=0) for name in COUNTED},
    },
)
