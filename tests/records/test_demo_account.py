"""The account of the demo's import, file by file."""

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from fleetstats.records import Fleet, import_files, load_fleet
from fleetstats.settings import Project
from tests.demo import copy_of

FATES = ["accepted", "merged", "superseded", "set aside", "rejected", "furniture"]


def _columns() -> list[str]:
    return [name.replace(" ", "_") for name in FATES]


def test_every_row_of_every_file_is_accounted_for(demo_fleet: Fleet, demo_truth: dict[str, Any]) -> None:
    """Rows read = the six fates, for each file; and the rows read are as many as the generator wrote, headings left out."""
    files = demo_fleet.files.set_index("file")
    assert (files[_columns()].sum(axis=1) == files["rows_read"]).all()
    assert files["rows_read"].to_dict() == {name: len(rows) for name, rows in demo_truth["rows"].items()}


def test_the_lineage_names_every_row_once(demo_fleet: Fleet, demo_truth: dict[str, Any]) -> None:
    """Each row the generator wrote has exactly one line of lineage."""
    lineage = demo_fleet.lineage
    found = sorted(zip(lineage["file"], lineage["sheet"].fillna(""), lineage["row"].astype(int), strict=True))
    assert found == sorted((name, sheet or "", row) for name, rows in demo_truth["rows"].items() for row, sheet, _, _ in rows)


def test_importing_again_changes_nothing_and_a_taken_file_leaves_no_trace(demo_project: Project, demo_fleet: Fleet, tmp_path: Path) -> None:
    """Same inputs: not written, same account. One file less: the records are those of the files that remain, and come back with it."""
    project = Project(copy_of(demo_project.folder, tmp_path / "demo"))
    first, again = import_files(project), import_files(project)
    assert (first.changed, again.changed) == (True, False)
    pd.testing.assert_frame_equal(first.files, again.files)
    pd.testing.assert_frame_equal(load_fleet(project).visits, demo_fleet.visits)
    taken = (project.raw / "atelier_factures.csv").rename(tmp_path / "atelier_factures.csv")
    assert import_files(project).changed
    without = load_fleet(project)
    assert "atelier_factures.csv" not in set(without.lineage["file"])
    assert "Atelier Portage" not in set(without.visits["shop"].dropna())
    taken.rename(project.raw / "atelier_factures.csv")
    assert import_files(project).changed
    pd.testing.assert_frame_equal(load_fleet(project).visits, demo_fleet.visits)


@pytest.mark.parametrize("table", ["visits", "bench_tests", "vehicles", "lineage", "rejects", "checks", "unknown"])
def test_no_personal_string_is_in_the_store(demo_fleet: Fleet, demo_truth: dict[str, Any], table: str) -> None:
    """None of the planted telephone numbers, addresses and technicians' names occurs in any text of the store."""
    frame = getattr(demo_fleet, table)
    texts = "\n".join("\n".join(frame[name].dropna().astype(str)) for name in frame.columns if pd.api.types.is_string_dtype(frame[name])).lower()
    assert [text for text in demo_truth["personal"] if text.lower() in texts] == []


def test_only_planted_cells_are_refused(demo_fleet, demo_truth):
    """Every cell left empty in the demo stands at the address of a planted default date or a release before the arrival: no clean cell is lost."""
    planted = {(row["file"], row["row"]) for name in ("default_date", "closed_before_opened") for row in demo_truth["planted"][name]["rows"]}
    rejects = demo_fleet.rejects
    refused = set(zip(rejects["file"], rejects["row"].astype(int), strict=True))
    assert not refused - planted
    assert len(refused) >= 0.97 * len(planted)
