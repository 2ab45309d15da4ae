"""SQLite: one SELECT on a copy of the file in memory, in which nothing can be changed and no other file reached."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator, Sequence
from typing import Any

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.limits import LONGEST_TEXT
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.sql import FETCHED, LONGEST_SECONDS, query_failed, sheet_of_query

SQLITE_MARK = b"SQLite format 3\0"
WRITTEN_AHEAD = slice(18, 20)
"""Bytes of the header that say 2 where changes may stand in a second file beside the first one; a copy in memory can only be opened when they say 1."""

ALLOWED = frozenset({sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ, sqlite3.SQLITE_FUNCTION, sqlite3.SQLITE_RECURSIVE})
FORBIDDEN_FUNCTIONS = frozenset({"load_extension", "fts3_tokenizer"})
STEPS = 10_000
SQLITE_MEMORY = 450_000_000
"""Bytes that SQLite may use in this process, the copies included; it can be lowered only, so that one value serves every file."""

PRAGMAS = (f"hard_heap_limit = {SQLITE_MEMORY}", "query_only = on", "trusted_schema = off", "cell_size_check = on", "temp_store = memory")


def read_sqlite(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """What layout.query selects from a SQLite database; row: number of the result's row from 1.

    The bytes are opened in memory: nothing is written, no other file can be reached, and whatever is no reading is refused.
    Raises InputRefused for a broken database, a query that is refused, fails, runs too long or gives too much.
    """
    if not data.startswith(SQLITE_MARK):
        raise InputRefused(Problem(what="not a SQLite database", file=file, remedy="Mend kind under [format] of its profile, or send the file again."))
    connection = sqlite3.connect(":memory:")
    try:
        _open_copy(connection, data)
        cursor = connection.execute(str(layout.query))
        if cursor.description is None:
            raise query_failed("it gives no rows", file)
        return [sheet_of_query([str(column[0]) for column in cursor.description], _fetched(cursor), file, layout)]
    except MemoryError:
        raise query_failed("it needs more memory than there may be", file) from None
    except (sqlite3.Error, sqlite3.Warning, ValueError, OverflowError) as error:
        why = f"it ran longer than {LONGEST_SECONDS} s" if str(error) == "interrupted" else str(error)
        raise query_failed(why, file) from None
    finally:
        connection.close()


def _open_copy(connection: sqlite3.Connection, data: bytes) -> None:
    """The database in memory, with everything forbidden but reading, in bounded memory and time."""
    if data[WRITTEN_AHEAD] == b"\2\2":
        data = data[:WRITTEN_AHEAD.start] + b"\1\1" + data[WRITTEN_AHEAD.stop:]
    connection.deserialize(data)
    for pragma in PRAGMAS:
        connection.execute(f"pragma {pragma}")
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LONGEST_TEXT)
    connection.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)
    ends = time.monotonic() + LONGEST_SECONDS
    connection.set_progress_handler(lambda: time.monotonic() > ends, STEPS)
    connection.set_authorizer(_authorized)
    connection.text_factory = lambda text: text.decode("utf-8")


def _authorized(action: int, first: str | None, second: str | None, database: str | None, source: str | None) -> int:
    """Only reading is allowed; the arguments are SQLite's own."""
    wanted = action in ALLOWED and not (action == sqlite3.SQLITE_FUNCTION and second in FORBIDDEN_FUNCTIONS)
    return sqlite3.SQLITE_OK if wanted else sqlite3.SQLITE_DENY


def _fetched(cursor: Any) -> Iterator[Sequence[object]]:
    while rows := cursor.fetchmany(FETCHED):
        yield from rows
