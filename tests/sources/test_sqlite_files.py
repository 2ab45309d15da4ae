import sqlite3
from pathlib import Path

import pytest

from fleetstats.errors import InputRefused
from fleetstats.sources import read_sources, sqlite_files
from fleetstats.sources.profile import Format

PROFILE = """files = ["shop.db"]
table = "sightings"
[format]
kind = "sqlite"
query = "select van, day, ok from seen order by day"
[columns]
van = "vehicle_id"
day = "date"
ok = "working"
"""


def _database(folder: Path, script: str = "") -> bytes:
    path = folder / "made.db"
    connection = sqlite3.connect(path)
    connection.executescript("create table seen(van, day, ok, photo); create view short as select van from seen;"
                             "insert into seen values ('V2', '2021-05-02', 'yes', x'00'), ('V1', '2021-05-01', 'no', null);" + script)
    connection.close()
    return path.read_bytes()


def _read(data: bytes, query: str):
    return sqlite_files.read_sqlite(data, "shop.db", Format(kind="sqlite", query=query))[0]


def test_the_rows_of_a_query_are_read_by_a_profile(write_project, tmp_path):
    """Typed, with the number of the result's row as their address."""
    rows = read_sources(write_project({"shop.db": _database(tmp_path)}, {"shop": PROFILE}))[0].rows
    assert rows[["vehicle_id", "row"]].to_numpy().tolist() == [["V1", 1], ["V2", 2]]


@pytest.mark.parametrize("query", [
    "drop table seen", "update seen set van = 1", "insert into seen values (1, 2, 3, 4) returning van", "attach '/etc/hostname' as p", "pragma user_version",
    "select load_extension('x')", "vacuum into 'copy.db'", "select 1; select 2", "select * from pragma_database_list", "select zeroblob(100000000)",
    "select nothing from seen", "begin", "create table x(a)", "savepoint s", "analyze", "",
])
def test_whatever_is_no_reading_is_refused(tmp_path, query: str):
    """Changes, other files, settings, extensions, texts without end: a refusal that names the query."""
    data = _database(tmp_path)
    with pytest.raises((InputRefused, ValueError), match="query"):
        _read(data, query)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["made.db"]


def test_a_query_without_end_is_ended(tmp_path, monkeypatch):
    """It is told how long it may run."""
    monkeypatch.setattr(sqlite_files, "LONGEST_SECONDS", 0.2)
    with pytest.raises(InputRefused, match="ran longer than"):
        _read(_database(tmp_path), "with recursive c(x) as (select 1 union all select x + 1 from c) select sum(x) from c")


def test_a_broken_or_hostile_database_is_refused(tmp_path):
    """Cut off, filled with nonsense, with a view without end, or no database; one that is written ahead is read as far as it was written."""
    whole = _database(tmp_path)
    for data in (whole[:len(whole) // 2], whole[:16] + b"\xff" * 5000, b"x" * 5000):
        with pytest.raises(InputRefused, match=r"shop\.db"):
            _read(data, "select van from seen")
    assert len(_read(whole[:18] + b"\2\2" + whole[20:], "select van from short").cells) == 2
    (tmp_path / "made.db").unlink()
    circle = _database(tmp_path, "create view a as select * from b; create view b as select * from a;")
    with pytest.raises(InputRefused, match="circularly defined"):
        _read(circle, "select * from a")


def test_binary_values_are_left_empty_and_told(tmp_path):
    """A photograph in a column is no text."""
    sheet = _read(_database(tmp_path), "select van, photo from seen")
    assert [note.column for note in sheet.notes] == ["photo"]
    assert sheet.cells["photo"].isna().all()
