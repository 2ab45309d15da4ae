"""Readers: one function per kind of file, from its bytes to raw sheets, every row with the number a person sees."""

from __future__ import annotations

import stat
from collections.abc import Callable
from pathlib import Path

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.delimited import read_delimited
from fleetstats.sources.fixed_width import read_fixed_width
from fleetstats.sources.json_files import read_json
from fleetstats.sources.limits import refuse_too_large
from fleetstats.sources.parquet_files import read_parquet
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.sqlite_files import read_sqlite
from fleetstats.sources.workbooks import read_workbook

Reader = Callable[[bytes, str, Format], list[RawSheet]]
"""From the bytes of a file, its name and its profile's format to its sheets; raises InputRefused for what it cannot read whole."""

READERS: dict[str, Reader] = {
    "csv": read_delimited,
    "fixed": read_fixed_width,
    "xlsx": read_workbook,
    "xls": read_workbook,
    "ods": read_workbook,
    "json": read_json,
    "parquet": read_parquet,
    "sqlite": read_sqlite,
}
"""Kind of file -> its reader; a server has no file (see `postgresql.py`)."""


def read_bytes(path: Path) -> bytes:
    """The bytes of a file. Raises InputRefused where it is missing, no file (a folder, a pipe, a device), too large, or empty."""
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode) and not stat.S_ISDIR(status.st_mode):
            raise InputRefused(Problem(what="this is no file: a pipe or a device", file=path.name, remedy="Name the file itself."))
        refuse_too_large(status.st_size, path.name)
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputRefused(Problem(what="the file does not exist", file=path.name, remedy="Name a file that is there.")) from None
    except OSError as error:
        raise InputRefused(Problem(what=f"cannot be read ({error.strerror})", file=path.name, remedy="Name a file that may be read.")) from None
    if not data.strip():
        raise InputRefused(Problem(what="the file is empty", file=path.name, remedy="Export it again, or take it out of raw/."))
    return data


def read_sheets(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The raw sheets of a file as its profile describes it.

    Raises InputRefused for a wrong kind, a wrong encoding, a broken file, an unknown sheet, or headings that are not where they should be.
    """
    return READERS[layout.kind](data, file, layout)
