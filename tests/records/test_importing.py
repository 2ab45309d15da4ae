"""Import of a small project of files with our own column names."""

from pathlib import Path

import duckdb
import pytest

from fleetstats.errors import InputRefused
from fleetstats.records import import_files, load_fleet
from fleetstats.settings import Project

VISITS = "document,shop,vehicle_id,date_in,date_out,status,total_cost,price_basis\n7,North,c1,2020-05-01,2020-05-04,closed,{cost},USD 2020-05 net\n"


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """One vehicle and one visit of 100."""
    (tmp_path / "raw").mkdir()
    (tmp_path / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
    (tmp_path / "raw" / "vehicles.csv").write_text("vehicle_id,built\nC-1,2012-03-01\n", encoding="utf-8")
    (tmp_path / "raw" / "visits.csv").write_text(VISITS.format(cost=100), encoding="utf-8")
    return Project(tmp_path)


def test_progress_is_told_and_the_records_are_loaded(project: Project) -> None:
    """Two files, the larger first: told what is read, how many are done and how many rows; the visit is C-1's, from visits.csv row 2."""
    told: list[tuple[str, int, int]] = []
    account = import_files(project, lambda *step: told.append(step))
    assert told == [("reading visits.csv", 0, 2), ("reading vehicles.csv; 1 rows so far", 1, 2), ("joining the records", 2, 2), ("writing the store", 2, 2)]
    assert (account.changed, account.files["accepted"].tolist(), account.cells) == (True, [1, 1], 0)
    fleet = load_fleet(project)
    assert fleet.visits[["visit_id", "vehicle_id", "total_cost"]].to_numpy().tolist() == [["North:7", "C-1", 100.0]]
    assert set(fleet.fingerprint.inputs) == {"fleetstats", "fleetstats.toml", "raw/vehicles.csv", "raw/visits.csv"}


def test_a_corrected_file_replaces_what_came_from_the_old_one(project: Project) -> None:
    """The file is handed over again with 120 for 100: one visit, of 120. Unchanged inputs write nothing."""
    import_files(project)
    written = project.store.stat().st_mtime_ns
    assert not import_files(project).changed
    assert project.store.stat().st_mtime_ns == written
    (project.raw / "visits.csv").write_text(VISITS.format(cost=120), encoding="utf-8")
    corrected = import_files(project)
    assert corrected.changed
    assert corrected.amounts.to_dict("records") == [{"file": "visits.csv", "basis": "USD net", "before": 100.0, "now": 120.0}]
    assert load_fleet(project).visits["total_cost"].tolist() == [120.0]
    assert import_files(project).amounts.empty


@pytest.mark.parametrize(("table", "column"), [("money_read", "unclear"), ("files", "furniture"), ("rejects", "field")])
def test_a_store_with_other_columns_stops_no_import(project: Project, table: str, column: str) -> None:
    """A version without one column of the account wrote the store; a corrected file is imported. Amounts are compared where they are known, and the
    journal goes on."""
    import_files(project)
    with duckdb.connect(project.store) as connection:
        connection.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
    (project.raw / "visits.csv").write_text(VISITS.format(cost=120), encoding="utf-8")
    account = import_files(project)
    assert account.changed
    assert account.amounts["before"].tolist() == ([] if table == "money_read" else [100.0])
    assert account.journal.imports["number"].tolist() == [1, 2]
    assert account.journal.last.set_index("name").loc["raw/visits.csv", "change"] == "corrected"
    assert load_fleet(project).visits["total_cost"].tolist() == [120.0]


def test_a_changed_setting_reads_the_files_anew(project: Project) -> None:
    """The windows decide what is merged, so another `duplicate_days` is another input."""
    import_files(project)
    (project.folder / "fleetstats.toml").write_text("as_of = 2025-12-31\n[windows]\nduplicate_days = 3\n", encoding="utf-8")
    assert import_files(Project(project.folder)).changed


def test_a_refused_file_leaves_the_store_as_it_was(project: Project) -> None:
    """A file that nobody can read stops the import; the old records stand, byte for byte."""
    import_files(project)
    before = project.store.read_bytes()
    (project.raw / "zebra.csv").write_text("stripes,colour\n7,black\n", encoding="utf-8")
    with pytest.raises(InputRefused, match=r"zebra\.csv"):
        import_files(project)
    assert project.store.read_bytes() == before


def test_loading_before_any_import_says_what_to_do(project: Project) -> None:
    """No store: refused with the command to run."""
    with pytest.raises(InputRefused, match="Run `fleetstats import`"):
        load_fleet(project)
