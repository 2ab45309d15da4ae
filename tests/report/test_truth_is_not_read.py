"""The demo's truth is for tests alone."""

import fleetstats as fs
from tests.demo import copy_of


def test_without_truth_the_report_is_the_same_bytes(demo_project, tmp_path):
    """truth.json deleted, nothing of page and JSON changes: no estimator can have looked at it."""
    blind = fs.open_project(copy_of(demo_project.folder, tmp_path / "blind"))
    (blind.folder / "truth.json").unlink()
    fs.import_files(blind)
    written, other = (fs.write_report(fs.analyse(project), tmp_path / name) for project, name in ((demo_project, "seeing"), (blind, "not")))
    assert [path.name for path in written] == [path.name for path in other]
    for path, same in zip(written, other, strict=True):
        assert path.read_bytes() == same.read_bytes(), path.name
