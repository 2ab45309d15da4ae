"""The account: which files were read, what became of each row, and which rows were refused and why."""

from fleetstats.tables.column import Column, Table

FATES = ("accepted", "merged", "superseded", "set aside", "rejected", "furniture")

FILES = Table(name="files", meaning="one row per file read; rows_read is the sum of the six fates", key=("file",), columns={
    "file": Column(kind="string", meaning="name within raw/", nullable=False),
    "sha256": Column(kind="string", meaning="fingerprint of the bytes", nullable=False),
    "source": Column(kind="string", meaning="profile that read it"),
    "covers_from": Column(kind="date", meaning="first day the source covers"),
    "covers_to": Column(kind="date", meaning="last day the source covers"),
    "tax_taken_off": Column(kind="float", meaning="tax rate by which all its amounts, stated gross, were divided; missing: none, or not of every row",
                            unit="share of the net amount", low=0),
    "rows_read": Column(kind="int", meaning="rows of the file, headings left out", low=0),
    "accepted": Column(kind="int", meaning="rows that became a record", low=0),
    "merged": Column(kind="int", meaning="rows that repeat or complete another record", low=0),
    "superseded": Column(kind="int", meaning="rows replaced by a correction", low=0),
    "set_aside": Column(kind="int", meaning="rows that are not about the refrigerator", low=0),
    "rejected": Column(kind="int", meaning="rows refused, see rejects", low=0),
    "furniture": Column(kind="int", meaning="titles, totals, blank lines", low=0),
})

REJECTS = Table(name="rejects", meaning="what was refused: whole rows, or single cells left empty; and what else is to be looked at", key=(), columns={
    "file": Column(kind="string", meaning="file", nullable=False),
    "sheet": Column(kind="string", meaning="sheet of a workbook"),
    "row": Column(kind="int", meaning="row as a person counts it, from 1"),
    "column": Column(kind="string", meaning="column heading"),
    "scope": Column(kind="string", meaning="what was lost; remark: nothing, to be looked at; file: told of a file as a whole",
                    values=("row", "cell", "remark", "file")),
    "field": Column(kind="string", meaning="canonical column whose cell was left empty; price_basis: money without one was left out"),
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

MONEY_READ = Table(name="money_read", meaning="per file, payer, currency and tax: the money of the rows about visits and what became of it", key=(), columns={
    "file": Column(kind="string", meaning="file", nullable=False),
    "payer": Column(kind="string", meaning="who paid, as the row says"),
    "basis": Column(kind="string", meaning='currency and tax, e.g. "EUR net"; each amount is in the money of its own month'),
    "bills": Column(kind="int", meaning="rows that name money", low=0),
    "read": Column(kind="float", meaning="money of those rows; the sum of the columns that follow", unit="money of basis"),
    "kept": Column(kind="float", meaning="counts in the visits", unit="money of basis"),
    "copies": Column(kind="float", meaning="said again by a copy, or sent to the warranty again: counted once", unit="money of basis"),
    "replaced": Column(kind="float", meaning="of estimates that an invoice replaces", unit="money of basis"),
    "left_out": Column(kind="float", meaning="in another currency or tax than its visit's bills, see rejects", unit="money of basis"),
    "unclear": Column(kind="float", meaning="of bills that cannot be told from another of their document, see rejects", unit="money of basis"),
    "superseded": Column(kind="float", meaning="of rows replaced by a correction", unit="money of basis"),
    "rejected": Column(kind="float", meaning="of rows refused", unit="money of basis"),
})

IDENTITIES = Table(name="identities", meaning="names that are not written literally: what they were read as, how sure that is and why", key=(), columns={
    "file": Column(kind="string", meaning="file", nullable=False),
    "sheet": Column(kind="string", meaning="sheet of a workbook"),
    "row": Column(kind="int", meaning="first row that writes it so, as a person counts it, from 1"),
    "rows": Column(kind="int", meaning="rows of the file that write it so and were read so", low=1),
    "table": Column(kind="string", meaning="canonical table", nullable=False),
    "column": Column(kind="string", meaning="column of it", nullable=False),
    "written": Column(kind="string", meaning="the text as written, plates keyed and VINs masked; missing where the cell is empty"),
    "read_as": Column(kind="string", meaning="vehicle or unit it was taken for; missing where it was set aside or left apart"),
    "score": Column(kind="float", meaning="how sure, from agreement and disagreement; an assumption, see the reasons", unit="share", low=0, high=1, nullable=False),
    "reasons": Column(kind="string", meaning="what speaks for it and against it, in words", nullable=False),
})
