"""The journal: what every import did to every file, and that it outlives what is rewritten."""

from pathlib import Path

import pytest

from fleetstats.errors import InputRefused
from fleetstats.records import change_lines, import_files, input_changes, read_journal
from fleetstats.records.journal import changes
from fleetstats.settings import Project
from fleetstats.tables import FILES
from tests.records.quarters import visits_text, write_quarters


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """Three files, imported."""
    made = write_quarters(tmp_path, {"q1.csv": (1, 2), "q2.csv": (3,), "q3.csv": (4, 5, 6)})
    import_files(made)
    return made


def test_added_corrected_removed_and_renamed_files_are_told_with_their_rows(project: Project) -> None:
    """q1 gains a row, q2 goes, q3 comes back as third.csv, q4 is new: each in one line with its rows; nothing else is told."""
    (project.raw / "q1.csv").write_text(visits_text(1, 2, 7), encoding="utf-8")
    (project.raw / "q2.csv").unlink()
    (project.raw / "q3.csv").rename(project.raw / "third.csv")
    (project.raw / "q4.csv").write_text(visits_text(8, 9), encoding="utf-8")
    journal = import_files(project).journal
    assert [(change.name, change.change, change.says) for change in input_changes(journal.last)] == [
        ("raw/q1.csv", "corrected", "3 rows read (before 2), 3 accepted (before 2)"),
        ("raw/q2.csv", "removed", "1 rows read, 1 accepted"),
        ("raw/q4.csv", "added", "2 rows read, 2 accepted"),
        ("raw/third.csv", "renamed", "was raw/q3.csv, as many rows with the same fates as before"),
    ]
    assert journal.imports[["number", "rows_read"]].to_numpy().tolist() == [[1, 6], [2, 8]]
    assert journal.imports["finished"].str.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ").all()


def test_a_file_that_did_not_change_but_whose_rows_fare_otherwise_is_told(project: Project) -> None:
    """A fourth file repeats a visit of q1: one of the two rows is merged now, and both files say so."""
    (project.raw / "q0.csv").write_text(visits_text(1), encoding="utf-8")
    lines = change_lines(import_files(project).journal.last)
    assert [line.split()[:2] for line in lines[:-1]] == [["raw/q0.csv", "added"], ["raw/q1.csv", "unchanged"]]
    assert lines[-1] == "2 files as before"


def test_the_journal_tells_what_changed_over_several_imports(project: Project) -> None:
    """A file added and taken away again between the first and the third import did not change; one that was corrected twice is told once."""
    (project.raw / "q4.csv").write_text(visits_text(8), encoding="utf-8")
    (project.raw / "q1.csv").write_text(visits_text(1), encoding="utf-8")
    import_files(project)
    (project.raw / "q4.csv").unlink()
    (project.raw / "q1.csv").write_text(visits_text(1, 2, 7, 9), encoding="utf-8")
    journal = import_files(project).journal
    told = input_changes(journal.since(1))
    assert [(change.name, change.says) for change in told] == [("raw/q1.csv", "4 rows read (before 2), 4 accepted (before 2)")]


def test_an_import_that_changes_nothing_or_fails_stands_in_no_journal(project: Project) -> None:
    """Unchanged files and a refused one: the journal still holds the first import only."""
    import_files(project)
    (project.raw / "zebra.csv").write_text("stripes,colour\n7,black\n", encoding="utf-8")
    with pytest.raises(InputRefused):
        import_files(project)
    assert read_journal(project).imports["number"].tolist() == [1]


def test_two_files_of_the_same_bytes_are_renamed_one_to_one() -> None:
    """Two equal files under two new names: each old name is used once, in order; a third copy is an added file."""
    table = changes({"raw/c": "1", "raw/d": "1", "raw/e": "1"}, FILES.empty(), {"raw/a": "1", "raw/b": "1"}, FILES.empty())
    assert table[["name", "change", "was_named"]].fillna("").to_numpy().tolist() == [
        ["raw/c", "renamed", "raw/a"], ["raw/d", "renamed", "raw/b"], ["raw/e", "added", ""]]
