"""The store: one DuckDB file, written in one transaction, read whole and closed."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import duckdb
import pandas as pd

from fleetstats.errors import InputRefused, Problem, StoreBusy
from fleetstats.records.fleet import STORED
from fleetstats.sources.unknown import UNKNOWN_COLUMNS

SCHEMA = 2
"""Number of the store's layout; another one is refused, never migrated: the store is rebuilt from raw/."""
WAIT_SECONDS = 10.0
_SAFE: dict[str, str | bool | int | float | list[str]] = {"autoinstall_known_extensions": "false", "autoload_known_extensions": "false"}
_EXTRA_DDL = (
    "CREATE TABLE meta (schema_version BIGINT)",
    "CREATE TABLE inputs (name VARCHAR, sha256 VARCHAR)",
    'CREATE TABLE unknown ("text" VARCHAR, "count" BIGINT, "example" VARCHAR, "file" VARCHAR, "sheet" VARCHAR, "row" BIGINT)',
)


def read_inputs(path: Path) -> dict[str, str]:
    """What the store was made from, name -> sha256; empty when there is no store yet.

    Raises InputRefused for a store of another layout, StoreBusy when another process keeps it.
    """
    if not path.is_file():
        return {}
    with _opened(path, read_only=True) as connection:
        if not _filled(connection, path):
            return {}
        return dict(connection.execute("SELECT name, sha256 FROM inputs ORDER BY name").fetchall())


def read_store(path: Path) -> tuple[dict[str, pd.DataFrame], dict[str, str]]:
    """Every table of the store by name (`unknown` among them), checked against its declaration, and what it was made from.

    Raises InputRefused when there is no store or one of another layout, StoreBusy when another process keeps it.
    """
    nothing = Problem(what="nothing was imported yet", file=path.name, remedy="Run `fleetstats import` in the project folder first.")
    if not path.is_file():
        raise InputRefused(nothing)
    with _opened(path, read_only=True) as connection:
        if not _filled(connection, path):
            raise InputRefused(nothing)
        frames = {name: connection.execute(f'SELECT * FROM "{name}" ORDER BY rowid').df() for name in (*STORED, "unknown")}
        inputs = dict(connection.execute("SELECT name, sha256 FROM inputs ORDER BY name").fetchall())
    checked = {name: table.check(frames[name]) for name, table in STORED.items()}
    return checked | {"unknown": frames["unknown"].astype(UNKNOWN_COLUMNS)}, inputs


def write_store(path: Path, frames: Mapping[str, pd.DataFrame], unknown: pd.DataFrame, inputs: Mapping[str, str]) -> None:
    """Replace the content of the store in one transaction: after a failure or a kill the old content stands.

    Raises StoreBusy when another process keeps the store, InputRefused when it has another layout.
    """
    checked = {name: table.check(frames.get(name, table.empty())) for name, table in STORED.items()}
    with _opened(path, read_only=False) as connection:
        _filled(connection, path)
        connection.begin()
        for name in ("meta", "inputs", "unknown", *STORED):
            connection.execute(f'DROP TABLE IF EXISTS "{name}"')
        for ddl in (*_EXTRA_DDL, *(table.ddl() for table in STORED.values())):
            connection.execute(ddl)
        connection.execute("INSERT INTO meta VALUES (?)", [SCHEMA])
        _insert(connection, "inputs", pd.DataFrame({"name": list(inputs), "sha256": list(inputs.values())}, dtype="string"))
        _insert(connection, "unknown", unknown)
        for name, frame in checked.items():
            _insert(connection, name, frame)
        connection.commit()


def _insert(connection: duckdb.DuckDBPyConnection, name: str, frame: pd.DataFrame) -> None:
    connection.register("incoming", frame)
    columns = ", ".join(f'"{column}"' for column in frame.columns)
    connection.execute(f'INSERT INTO "{name}" ({columns}) SELECT {columns} FROM incoming')
    connection.unregister("incoming")


def _filled(connection: duckdb.DuckDBPyConnection, path: Path) -> bool:
    """Whether the store holds tables. Raises InputRefused where their layout is not SCHEMA."""
    present = {row[0] for row in connection.execute("SELECT table_name FROM information_schema.tables").fetchall()}
    if not present:
        return False
    found = connection.execute("SELECT max(schema_version) FROM meta").fetchone() if "meta" in present else None
    if found is None or found[0] != SCHEMA:
        remedy = f"Delete {path.name} and run `fleetstats import`: the store is rebuilt from raw/."
        shown = "none" if found is None else str(found[0])
        raise InputRefused(Problem(what="the store has a layout this version does not know", file=path.name, found=shown, wanted=str(SCHEMA), remedy=remedy))
    return True


@contextmanager
def _opened(path: Path, *, read_only: bool) -> Iterator[duckdb.DuckDBPyConnection]:
    connection = _connect(path, read_only)
    try:
        yield connection
    finally:
        # closing rolls back what was not committed
        connection.close()


def _connect(path: Path, read_only: bool) -> duckdb.DuckDBPyConnection:
    """A connection, waiting a bounded time for another process that holds the file."""
    until = time.monotonic() + WAIT_SECONDS
    while True:
        try:
            return duckdb.connect(path, read_only=read_only, config=_SAFE)
        except duckdb.Error as error:
            if not _held(error):
                raise InputRefused(_unreadable(path)) from error
            if time.monotonic() > until:
                raise StoreBusy(_busy(path)) from error
            time.sleep(0.1)


def _held(error: Exception) -> bool:
    text = str(error)
    return "lock" in text or "different configuration" in text


def _busy(path: Path) -> Problem:
    remedy = "Close the other fleetstats command, notebook or database viewer that has it open, and try again."
    return Problem(what=f"another process has held the store for {WAIT_SECONDS:g} seconds", file=path.name, remedy=remedy)


def _unreadable(path: Path) -> Problem:
    return Problem(what="the store cannot be opened", file=path.name, remedy=f"Delete {path.name} and run `fleetstats import`: it is rebuilt from raw/.")
