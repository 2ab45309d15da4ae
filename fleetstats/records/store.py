"""The store: one DuckDB file, written in one transaction, read and closed."""

from __future__ import annotations

import time
from collections.abc import Generator, Iterable, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, contextmanager
from pathlib import Path

import duckdb
import pandas as pd
import pyarrow as pa

from fleetstats import tables
from fleetstats.errors import InputRefused, Problem, StoreBusy
from fleetstats.records.columnar import dtypes_of, to_arrow, to_pandas
from fleetstats.records.fleet import STORED
from fleetstats.records.held import busy
from fleetstats.sources.unknown import empty_unknown

SCHEMA = 2
"""Number of the store's layout; another one is refused, never migrated: the store is rebuilt from raw/."""
WAIT_SECONDS = 10.0
AT_ONCE = 245_760
"""Rows handed over at once: two row groups of the database, which two cores compress, so that no second copy of a large table stands in memory."""
_SAFE: dict[str, str | bool | int | float | list[str]] = {"autoinstall_known_extensions": "false", "autoload_known_extensions": "false"}
JOURNAL = {table.name: table for table in (tables.IMPORTS, tables.IMPORTED)}
"""Tables that are added to and never rewritten."""


def read_inputs(path: Path) -> dict[str, str]:
    """What the store was made from, name -> sha256; empty when there is no store yet.

    Raises InputRefused for a store of another layout, StoreBusy when another process keeps it.
    """
    if not path.is_file():
        return {}
    with _opened(path, read_only=True) as connection:
        return _inputs(connection) if _filled(connection, path) else {}


def read_store(path: Path, names: Iterable[str] = (*STORED, "unknown")) -> tuple[dict[str, pd.DataFrame], dict[str, str]]:
    """The named tables of the store with their declared dtypes, and what the store was made from.

    names: of STORED, JOURNAL and `unknown`.
    Raises InputRefused when there is no store or one of another layout, StoreBusy when another process keeps it.
    """
    nothing = Problem(what="nothing was imported yet", file=path.name, remedy="Run `fleetstats import` in the project folder first.")
    if not path.is_file():
        raise InputRefused(nothing)
    with _opened(path, read_only=True) as connection:
        if not _filled(connection, path):
            raise InputRefused(nothing)
        try:
            return {name: _read(connection, name) for name in names}, _inputs(connection)
        except (duckdb.BinderException, duckdb.CatalogException) as error:
            remedy = "Run `fleetstats import`: what is in raw/ is read anew where that is needed."
            raise InputRefused(Problem(what="another version of the package wrote this store, with other columns", file=path.name, remedy=remedy)) from error


def write_store(
    path: Path, frames: Mapping[str, pd.DataFrame], unknown: pd.DataFrame, inputs: Mapping[str, str], journal: Mapping[str, pd.DataFrame] | None = None,
) -> None:
    """Replace the records and add to the journal in one transaction: after a failure or a kill the old content stands.

    frames: tables of STORED, conformed to their declarations; those not given are empty. journal: rows to add, tables of JOURNAL.
    Raises StoreBusy when another process keeps the store, InputRefused when it has another layout.
    """
    with _opened(path, read_only=False) as connection:
        _filled(connection, path)
        connection.begin()
        for name in ("meta", "inputs", "unknown", *STORED):
            connection.execute(f'DROP TABLE IF EXISTS "{name}"')
        connection.execute("CREATE TABLE meta (schema_version BIGINT)")
        connection.execute("INSERT INTO meta VALUES (?)", [SCHEMA])
        _create(connection, "inputs", pd.DataFrame({"name": list(inputs), "sha256": list(inputs.values())}, dtype="string"))
        _create(connection, "unknown", unknown.astype(dtypes_of(empty_unknown())))
        for table in STORED.values():
            connection.execute(table.ddl())
        for table in JOURNAL.values():
            connection.execute(table.ddl().replace("CREATE TABLE", "CREATE TABLE IF NOT EXISTS", 1))
        added = {name: table.check((journal or {}).get(name, table.empty())) for name, table in JOURNAL.items()}
        _insert_all(connection, {name: frames.get(name, table.empty()) for name, table in STORED.items()} | added)
        connection.commit()


def keep_figures(path: Path, figures: str) -> None:
    """Keep the headline figures of a run (JSON) beside the last import; nothing is written where they stand there already.

    Raises StoreBusy when another process keeps the store.
    """
    with _opened(path, read_only=True) as connection:
        kept = connection.execute("SELECT number, figures FROM imports ORDER BY number DESC LIMIT 1").fetchall()
    if kept and kept[0][1] != figures:
        with _opened(path, read_only=False) as connection:
            connection.execute("UPDATE imports SET figures = ? WHERE number = ?", [figures, kept[0][0]])


def _read(connection: duckdb.DuckDBPyConnection, name: str) -> pd.DataFrame:
    declared = (STORED | JOURNAL).get(name)
    dtypes = dtypes_of(declared.empty() if declared else empty_unknown())
    # column by column: the rows come in the order they were written, and only one column stands in memory twice
    columns = [to_pandas(connection.sql(f'SELECT "{column}" FROM "{name}"').to_arrow_table(), {column: dtype}) for column, dtype in dtypes.items()]
    return pd.concat(columns, axis=1)


def _inputs(connection: duckdb.DuckDBPyConnection) -> dict[str, str]:
    return dict(connection.execute("SELECT name, sha256 FROM inputs ORDER BY name").fetchall())


def _create(connection: duckdb.DuckDBPyConnection, name: str, frame: pd.DataFrame) -> None:
    connection.register("incoming", to_arrow(frame))
    connection.execute(f'CREATE TABLE "{name}" AS SELECT * FROM incoming')
    connection.unregister("incoming")


def _insert_all(connection: duckdb.DuckDBPyConnection, frames: Mapping[str, pd.DataFrame]) -> None:
    """Add the rows of frames to the tables of their names."""
    with closing(_parts(frames)) as parts:
        for name, part in parts:
            _insert(connection, name, part)


def _parts(frames: Mapping[str, pd.DataFrame]) -> Generator[tuple[str, pa.Table]]:
    """Parts of the frames with their names, AT_ONCE rows each; while one is used, the next is being made. Raises what its making raised."""
    ready: tuple[str, Future[pa.Table]] | None = None
    with ThreadPoolExecutor(max_workers=1) as beside:
        for name, start in [(name, start) for name, frame in frames.items() for start in range(0, len(frame), AT_ONCE)]:
            following = name, beside.submit(_part, frames[name], start)
            if ready:
                yield ready[0], ready[1].result()
            ready = following
        if ready:
            yield ready[0], ready[1].result()


def _insert(connection: duckdb.DuckDBPyConnection, name: str, part: pa.Table) -> None:
    columns = ", ".join(f'"{column}"' for column in part.column_names)
    connection.register("incoming", part)
    connection.execute(f'INSERT INTO "{name}" ({columns}) SELECT {columns} FROM incoming')
    connection.unregister("incoming")


def _part(frame: pd.DataFrame, start: int) -> pa.Table:
    return to_arrow(frame.iloc[start:start + AT_ONCE])


def _filled(connection: duckdb.DuckDBPyConnection, path: Path) -> bool:
    """Whether the store holds tables. Raises InputRefused where their layout is not SCHEMA."""
    present = {row[0] for row in connection.execute("SELECT table_name FROM information_schema.tables").fetchall()}
    if not present:
        return False
    found = connection.execute("SELECT max(schema_version) FROM meta").fetchall()[0] if "meta" in present else None
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
            connection = duckdb.connect(path, read_only=read_only, config=_SAFE)
            if not read_only:
                path.chmod(0o600)  # its owner's only, as the key of the pseudonyms is
            return connection
        except duckdb.Error as error:
            if not _held(error):
                raise InputRefused(_unreadable(path)) from error
            if time.monotonic() > until:
                raise StoreBusy(busy(path.parent, path.name, WAIT_SECONDS)) from error
            time.sleep(0.1)


def _held(error: Exception) -> bool:
    text = str(error)
    return "lock" in text or "different configuration" in text


def _unreadable(path: Path) -> Problem:
    return Problem(what="the store cannot be opened", file=path.name, remedy=f"Delete {path.name} and run `fleetstats import`: it is rebuilt from raw/.")
