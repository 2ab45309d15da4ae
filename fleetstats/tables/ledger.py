"""The account: which files were read, what became of each row, and which rows were refused and why."""

from fleetstats.tables.column import Column, Table

FATES = ("accepted", "merged", "superseded", "set aside", "rejected", "furniture")

FILES = Table(name="files", meaning="one row per file read; rows_read is the sum of the six fates", key=("file",), columns={
    "file": Column(kind="string", meaning="name within raw/", nullable=False),
    "sha256": Column(kind="string", meaning="fingerprint of the bytes", nullable=False),
    "source": Column(kind="string", meaning="profile that read it"),
    "covers_from": Column(kind="date", meaning="first day the source covers"),
    "covers_to": Column(kind="date", meaning="last day the source covers"),
    "rows_read": Column(kind="int", meaning="rows of the file, headings left out", low=0),
    "accepted": Column(kind="int", meaning="rows that became a record", low=0),
    "merged": Column(kind="int", meaning="rows that repeat or complete another record", low=0),
    "superseded": Column(kind="int", meaning="rows replaced by a correction", low=0),
    "set_aside": Column(kind="int", meaning="rows that are not about the refrigerator", low=0),
    "rejected": Column(kind="int", meaning="rows refused, see rejects", low=0),
    "furniture": Column(kind="int", meaning="titles, totals, blank lines", low=0),
})

REJECTS = Table(name="rejects", meaning="what was refused: whole rows, or single cells left empty", key=(), columns={
    "file": Column(kind="string", meaning="file", nullable=False),
    "sheet": Column(kind="string", meaning="sheet of a workbook"),
    "row": Column(kind="int", meaning="row as a person counts it, from 1"),
    "column": Column(kind="string", meaning="column heading"),
    "scope": Column(kind="string", meaning="what was lost", values=("row", "cell")),
    "what": Column(kind="string", meaning="the fault"),
    "found": Column(kind="string", meaning="the value met, personal data masked"),
    "wanted": Column(kind="string", meaning="what would have been right"),
    "remedy": Column(kind="string", meaning="what to do"),
})

LINEAGE = Table(name="lineage", meaning="which row of which file became which record", key=(), columns={
    "table": Column(kind="string", meaning="canonical table", nullable=False),
    "record_id": Column(kind="string", meaning="key of the record, or the unit or vehicle it is about where its table has no key; missing where the row became none"),
    "file": Column(kind="string", meaning="file", nullable=False),
    "sheet": Column(kind="string", meaning="sheet of a workbook"),
    "row": Column(kind="int", meaning="row as a person counts it, from 1"),
    "fate": Column(kind="string", meaning="what became of the row", values=FATES),
    "reason": Column(kind="string", meaning="why merged, superseded or set aside; how an identity was inferred"),
})
