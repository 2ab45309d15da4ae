"""Partitions: read once, kept exactly, taken up again; the number of processes changes nothing."""

import dataclasses
import os
from pathlib import Path

import pandas as pd
import pytest

from fleetstats.errors import InputRefused
from fleetstats.records import import_files, load_fleet, partitions
from fleetstats.records.kept import LONG, is_whole, load, save
from fleetstats.records.store import read_store
from fleetstats.settings import Project
from fleetstats.sources import ReadTask, read_one, read_tasks
from tests.demo import copy_of
from tests.records.quarters import HEAD, visits_text, write_quarters


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """Three files of one or two visits."""
    return write_quarters(tmp_path, {"q1.csv": (1, 2), "q2.csv": (3,), "q3.csv": (4, 5)})


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the files that are read, in order."""
    names: list[str] = []

    def counted(task: ReadTask):
        names.append(task.file)
        return read_one(task)

    monkeypatch.setattr(partitions, "read_one", counted)
    return names


def test_what_every_file_of_the_demo_gave_is_kept_exactly(demo_project: Project, tmp_path: Path) -> None:
    """Rows, checks, fates, unknown words with every dtype, problems, coverage and corrections are equal after Parquet; texts of the long frames, and nothing
    else, stay in Arrow's memory."""
    for task in read_tasks(demo_project):
        given = read_one(task)
        save(given, tmp_path / task.file)
        for one, other in zip(given, load(tmp_path / task.file), strict=True):
            for field in dataclasses.fields(one):
                left, right = getattr(one, field.name), getattr(other, field.name)
                if isinstance(left, pd.DataFrame):
                    pd.testing.assert_frame_equal(left, _from_arrow(left, right) if field.name in LONG else right)
                else:
                    assert left == right


def _from_arrow(given: pd.DataFrame, carried: pd.DataFrame) -> pd.DataFrame:
    """The frame with its texts as `given` has them, each of which must be Arrow's, as they are or as categories."""
    names = [name for name, dtype in given.dtypes.items() if dtype == "string"]
    for name in names:
        found = carried[name].dtype
        texts = found.categories.dtype if isinstance(found, pd.CategoricalDtype) else found
        assert (texts, texts.storage) == ("string", "pyarrow")
    return carried.astype(dict.fromkeys(names, "string"))


def test_a_new_quarter_reads_its_file_only(project: Project, read: list[str]) -> None:
    """Three files, then a fourth: the first import reads three, the next one, and a changed window (how rows are joined) none."""
    import_files(project)
    assert sorted(read) == ["q1.csv", "q2.csv", "q3.csv"]
    read.clear()
    (project.raw / "q4.csv").write_text(visits_text(6), encoding="utf-8")
    import_files(project)
    assert read == ["q4.csv"]
    assert len(load_fleet(project).visits) == 6
    read.clear()
    (project.folder / "fleetstats.toml").write_text("as_of = 2025-12-31\n[windows]\nduplicate_days = 3\n", encoding="utf-8")
    assert import_files(Project(project.folder)).changed
    assert read == []


def test_the_second_import_reads_nothing(project: Project, read: list[str]) -> None:
    """Import twice = once: the same store, no file read, no partition looked for."""
    import_files(project)
    read.clear()
    before = project.store.read_bytes()
    assert not import_files(project).changed
    assert (read, project.store.read_bytes()) == ([], before)


def test_taught_words_and_another_profile_read_anew(project: Project, read: list[str]) -> None:
    """A word may stand in any file, a profile concerns its own: words.toml reads all three, a profile for q2 only that one."""
    import_files(project)
    read.clear()
    project.words.write_text('[words.FND_CU_BLOCK]\nphrases = ["schnozzle wibbled"]\n', encoding="utf-8")
    import_files(project)
    assert sorted(read) == ["q1.csv", "q2.csv", "q3.csv"]
    read.clear()
    project.profiles.mkdir()
    columns = "".join(f'"{name}" = "{name}"\n' for name in HEAD.strip().split(","))
    (project.profiles / "second.toml").write_text(f'files = ["q2.csv"]\n[columns]\n{columns}', encoding="utf-8")
    import_files(project)
    assert read == ["q2.csv"]


@pytest.mark.parametrize("file", ["0.rows.parquet", "manifest.json"])
def test_a_damaged_partition_is_read_anew(project: Project, read: list[str], file: str) -> None:
    """One byte turned over in a partition: its file is read again, the others are not, the records are right."""
    import_files(project)
    folder = partitions.folder_of(project, read_tasks(project)[1])
    data = bytearray((folder / file).read_bytes())
    data[len(data) // 2] ^= 255
    (folder / file).write_bytes(data)
    assert not is_whole(folder)
    read.clear()
    (project.raw / "q4.csv").write_text(visits_text(6), encoding="utf-8")
    import_files(project)
    assert sorted(read) == ["q2.csv", "q4.csv"]
    assert is_whole(folder)
    assert sorted(load_fleet(project).visits["total_cost"]) == [1.5, 2.5, 3.5, 4.5, 5.5, 6.5]


def test_old_partitions_go_once_the_new_records_stand(project: Project) -> None:
    """A corrected and a removed file leave no partition behind, nor does what a killed import left unfinished."""
    import_files(project)
    (project.partitions / "ab12.99.part").mkdir()
    (project.raw / "q1.csv").write_text(visits_text(1), encoding="utf-8")
    (project.raw / "q3.csv").unlink()
    import_files(project)
    assert {path.name for path in project.partitions.iterdir()} == {partitions.folder_of(project, task).name for task in read_tasks(project)}


def test_a_refused_file_does_not_cost_the_others(project: Project, read: list[str]) -> None:
    """Two files that nobody can read: both are named, the three good ones are kept and not read again once the bad ones have gone."""
    for name in ("bad1.csv", "bad2.csv"):
        (project.raw / name).write_text("stripes,colour\n7,black\n", encoding="utf-8")
    with pytest.raises(InputRefused) as refusal:
        import_files(project)
    assert [problem.file for problem in refusal.value.problems] == ["bad1.csv", "bad2.csv"]
    read.clear()
    for name in ("bad1.csv", "bad2.csv"):
        (project.raw / name).unlink()
    assert import_files(project).changed
    assert read == []


def test_the_number_of_processes_changes_no_digit(demo_project: Project, tmp_path: Path) -> None:
    """The demo read by one process and by two: every table of the store is equal, row by row."""
    frames = []
    for jobs in (1, 2):
        project = Project(copy_of(demo_project.folder, tmp_path / str(jobs)))
        import_files(project, jobs=jobs)
        frames.append(read_store(project.store)[0])
    for name, frame in frames[0].items():
        pd.testing.assert_frame_equal(frame, frames[1][name])


def test_a_file_that_changes_while_it_is_read_is_refused(project: Project) -> None:
    """What was fingerprinted is not what is read: nothing is kept under a false name."""
    task = read_tasks(project)[0]
    (project.raw / "q1.csv").write_text(visits_text(9), encoding="utf-8")
    with pytest.raises(InputRefused, match="changed while it was being read"):
        read_one(task)


@pytest.mark.parametrize("make", [os.mkfifo, lambda path: os.symlink(path, path)], ids=["pipe", "link to itself"])
def test_what_is_no_file_is_told(project: Project, make) -> None:
    """A pipe would be waited for without end, a link to itself leads nowhere: both are refused by name."""
    make(project.raw / "strange.csv")
    with pytest.raises(InputRefused, match=r"strange\.csv: this is no file"):
        import_files(project)
