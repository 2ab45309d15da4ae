"""`fleetstats list unknown` on a small project: frequency, example, place, and the lines that teach."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from fleetstats.cli import main

HEAD = "document,vehicle_id,date_in,complaint_text\n"
ROWS = "A1,V1,2021-03-02,elem open fizzwhack\nA2,V2,2021-03-03,fridge dead and fizzwhack\nA3,V3,2021-03-04,the gizmo wobbled so ring tom\n"


def _listed(*more: str, folder: Path) -> Result:
    return CliRunner().invoke(main, ["list", "unknown", "--project", str(folder), *more], catch_exceptions=False)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "raw").mkdir()
    (tmp_path / "fleetstats.toml").write_text('as_of = 2021-12-31\n', encoding="utf-8")
    (tmp_path / "raw" / "ours.csv").write_text(HEAD + ROWS, encoding="utf-8")
    assert CliRunner().invoke(main, ["import", "--project", str(tmp_path)], catch_exceptions=False).exit_code == 0
    return tmp_path


def test_unknown_texts_are_listed_with_place_and_remedy(folder: Path):
    """The most frequent first; names are masked; JSON holds the same."""
    text = _listed(folder=folder).stdout
    assert text.index("fizzwhack  (2 times)") < text.index("the gizmo wobbled so ring [name]  (once)")
    assert "in: elem open fizzwhack\n    ours.csv, row 2" in text
    assert 'phrases = ["fizzwhack"]' in text
    rows = json.loads(_listed("--json", folder=folder).stdout)["data"]["unknown"]
    assert [(row["text"], row["count"], row["row"]) for row in rows] == [("fizzwhack", 2, 2), ("the gizmo wobbled so ring [name]", 1, 4)]


def test_a_taught_text_is_listed_no_more(folder: Path):
    """One line of TOML, and the next import understands it."""
    (folder / "words.toml").write_text('[words.FND_HE_OPEN]\nphrases = ["fizzwhack"]\n', encoding="utf-8")
    CliRunner().invoke(main, ["import", "--project", str(folder)], catch_exceptions=False)
    assert "fizzwhack" not in _listed(folder=folder).stdout.split("\n\n")[1]
