"""The store: written whole or not at all, read whole, never held."""

import multiprocessing
import os
import signal
import time
from pathlib import Path

import duckdb
import pandas as pd
import pyarrow as pa
import pytest

from fleetstats import tables
from fleetstats.errors import InputRefused, StoreBusy
from fleetstats.records import store
from fleetstats.records.store import keep_figures, read_inputs, read_store, write_store
from fleetstats.sources.unknown import UNKNOWN_COLUMNS

UNKNOWN = pd.DataFrame(
    {"text": ["blubbers"], "count": [3], "example": ["fridge blubbers"], "file": ["a.csv"], "sheet": [None], "row": [2]},
).astype(UNKNOWN_COLUMNS)


def _visits(*ids: str) -> dict[str, pd.DataFrame]:
    rows = [{"visit_id": name, "date_in": "2020-02-29", "total_cost": 0.1, "note": "Straße, 5 °C"} for name in ids]
    return {"visits": tables.VISITS.conform(pd.DataFrame(rows))}


def test_what_is_written_is_read_again(tmp_path: Path) -> None:
    """Texts, dates, numbers and missing values come back equal, with the declared dtypes; the inputs too."""
    frames = _visits("a", "b") | {"vehicles": tables.VEHICLES.conform(pd.DataFrame({"vehicle_id": ["C-1"], "recall_open": [True]}))}
    write_store(tmp_path / "store.duckdb", frames, UNKNOWN, {"raw/a.csv": "12ab"})
    found, inputs = read_store(tmp_path / "store.duckdb")
    for name, frame in frames.items():
        pd.testing.assert_frame_equal(found[name], frame)
    assert inputs == read_inputs(tmp_path / "store.duckdb") == {"raw/a.csv": "12ab"}
    pd.testing.assert_frame_equal(found["unknown"], UNKNOWN)
    assert found["sightings"].empty


def test_a_failed_write_leaves_the_old_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The third insert breaks off: the visits written before are still there and nothing else."""
    path = tmp_path / "store.duckdb"
    write_store(path, _visits("old"), UNKNOWN, {"a": "1"})
    insert, calls = store._insert, []

    def breaks(connection: duckdb.DuckDBPyConnection, name: str, frame: pa.Table) -> None:
        calls.append(name)
        if len(calls) == 3:
            raise OSError("disk full")
        insert(connection, name, frame)

    monkeypatch.setattr(store, "_insert", breaks)
    with pytest.raises(OSError, match="disk full"):
        write_store(path, _visits("new"), UNKNOWN, {"a": "2"})
    found, inputs = read_store(path)
    assert (found["visits"]["visit_id"].tolist(), inputs) == (["old"], {"a": "1"})


def _write_and_hang(path: Path, reached: "multiprocessing.synchronize.Event") -> None:
    insert, calls = store._insert, []

    def hangs(connection: duckdb.DuckDBPyConnection, name: str, frame: pa.Table) -> None:
        insert(connection, name, frame)
        calls.append(name)
        if name == "visits":
            reached.set()
            time.sleep(60)

    store._insert = hangs
    write_store(path, _visits("new"), UNKNOWN, {"a": "2"})


def test_a_killed_import_leaves_the_old_store_and_a_held_one_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another process writes, reading waits a bounded time and says so; killed in mid-write, the old content stands."""
    path = tmp_path / "store.duckdb"
    write_store(path, _visits("old"), UNKNOWN, {"a": "1"})
    context = multiprocessing.get_context("spawn")
    reached = context.Event()
    writer = context.Process(target=_write_and_hang, args=(path, reached))
    writer.start()
    assert reached.wait(60)
    monkeypatch.setattr(store, "WAIT_SECONDS", 0.3)
    with pytest.raises(StoreBusy, match=r"another process has held the store.*Close the other"):
        read_store(path)
    os.kill(writer.pid or 0, signal.SIGKILL)
    writer.join()
    found, inputs = read_store(path)
    assert (found["visits"]["visit_id"].tolist(), inputs) == (["old"], {"a": "1"})


def test_a_store_of_another_layout_is_refused_with_the_remedy(tmp_path: Path) -> None:
    """Layout 99, or a database of somebody else: reading and writing are refused, the file stays as it is."""
    path = tmp_path / "store.duckdb"
    write_store(path, _visits("old"), UNKNOWN, {})
    with duckdb.connect(path) as connection:
        connection.execute("UPDATE meta SET schema_version = 99")
    for attempt in (lambda: read_store(path), lambda: read_inputs(path), lambda: write_store(path, _visits("new"), UNKNOWN, {})):
        with pytest.raises(InputRefused, match=r"found '99', wanted 2\. Delete store\.duckdb and run `fleetstats import`"):
            attempt()
    foreign = tmp_path / "foreign.duckdb"
    with duckdb.connect(foreign) as connection:
        connection.execute("CREATE TABLE t (a INTEGER)")
    with pytest.raises(InputRefused, match="found 'none'"):
        read_store(foreign)


def test_a_file_that_is_no_database_and_a_missing_one_are_told(tmp_path: Path) -> None:
    """Garbage: delete and import. Nothing there, or an empty database: import first."""
    (tmp_path / "garbage.duckdb").write_bytes(b"not a database" * 1000)
    with pytest.raises(InputRefused, match="cannot be opened"):
        read_store(tmp_path / "garbage.duckdb")
    with pytest.raises(InputRefused, match="nothing was imported yet"):
        read_store(tmp_path / "none.duckdb")
    duckdb.connect(tmp_path / "empty.duckdb").close()
    with pytest.raises(InputRefused, match="nothing was imported yet"):
        read_store(tmp_path / "empty.duckdb")
    assert read_inputs(tmp_path / "empty.duckdb") == {}


def test_only_the_tables_that_are_named_are_read(tmp_path: Path) -> None:
    """Asked for vehicles: vehicles, and no visit."""
    write_store(tmp_path / "store.duckdb", _visits("a"), UNKNOWN, {})
    assert set(read_store(tmp_path / "store.duckdb", ("vehicles",))[0]) == {"vehicles"}


def test_equal_texts_of_a_column_are_one_object_in_memory(tmp_path: Path) -> None:
    """A thousand visits of one note: the store gives one text a thousand times, so that a million rows fit."""
    write_store(tmp_path / "store.duckdb", _visits(*(str(number) for number in range(1000))), UNKNOWN, {})
    notes = read_store(tmp_path / "store.duckdb", ("visits",))[0]["visits"]["note"]
    assert len({id(note) for note in notes}) == 1


def test_the_journal_is_added_to_and_outlives_what_is_rewritten(tmp_path: Path) -> None:
    """Two writes with an entry each, a third without one: two imports are told, in order; figures are kept at the one they belong to."""
    path = tmp_path / "store.duckdb"
    for number in (1, 2):
        write_store(path, _visits("a"), UNKNOWN, {}, {"imports": pd.DataFrame([{"number": number, "finished": "2026-01-31T12:00:00Z", "version": "1"}])})
    write_store(path, _visits("b"), UNKNOWN, {})
    keep_figures(path, '{"vehicles": 3}')
    imports = read_store(path, ("imports",))[0]["imports"]
    assert imports["number"].tolist() == [1, 2]
    assert imports["figures"].fillna("none").tolist() == ["none", '{"vehicles": 3}']


def test_figures_that_stand_there_already_are_not_written_again(tmp_path: Path) -> None:
    """The second keeping of the same text leaves the file's bytes as they are."""
    path = tmp_path / "store.duckdb"
    write_store(path, {}, UNKNOWN, {}, {"imports": pd.DataFrame([{"number": 1, "finished": "2026-01-31T12:00:00Z", "version": "1"}])})
    keep_figures(path, "{}")
    before = path.stat().st_mtime_ns, path.read_bytes()
    keep_figures(path, "{}")
    assert (path.stat().st_mtime_ns, path.read_bytes()) == before


def test_a_store_with_other_columns_is_told_and_written_over(tmp_path: Path) -> None:
    """A column or a table that this version knows is missing: refused with the command to run; the next write mends it and keeps the journal."""
    path = tmp_path / "store.duckdb"
    write_store(path, _visits("old"), UNKNOWN, {}, {"imports": pd.DataFrame([{"number": 1, "finished": "2026-01-31T12:00:00Z", "version": "1"}])})
    for change in ("ALTER TABLE visits DROP COLUMN note", "DROP TABLE checks"):
        with duckdb.connect(path) as connection:
            connection.execute(change)
        with pytest.raises(InputRefused, match=r"with other columns\. Run `fleetstats import`"):
            read_store(path)
    write_store(path, _visits("new"), UNKNOWN, {})
    assert read_store(path)[0]["visits"]["visit_id"].tolist() == ["new"]
    assert len(read_store(path, ("imports",))[0]["imports"]) == 1


def test_a_table_longer_than_what_is_handed_over_at_once_comes_back_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seven visits handed over two at a time: seven rows, in the order they were written."""
    monkeypatch.setattr(store, "AT_ONCE", 2)
    write_store(tmp_path / "store.duckdb", _visits(*"gfedcba"), UNKNOWN, {})
    assert read_store(tmp_path / "store.duckdb", ("visits",))[0]["visits"]["visit_id"].tolist() == list("gfedcba")
