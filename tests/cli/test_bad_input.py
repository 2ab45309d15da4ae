"""Bad input met through the command line: one paragraph with place and remedy, the declared code, the store as it was; nothing personal comes out."""

import json

import pytest
from click.testing import CliRunner

from fleetstats.cli import main
from tests.demo import copy_of, imported_demo


def run(*arguments: str):
    return CliRunner().invoke(main, list(arguments), catch_exceptions=False)


@pytest.fixture
def project(tmp_path):
    """A small project of one's own, imported."""
    folder = copy_of(imported_demo(60), tmp_path / "project")
    assert run("import", "--project", str(folder)).exit_code == 0
    return folder


def _price_without_currency(folder):
    path = folder / "prices.toml"
    lines = path.read_text().splitlines()
    place = next(i for i, line in enumerate(lines) if line.startswith("currency"))
    path.write_text("\n".join(lines[:place] + lines[place + 1:]))
    return ["report"], "prices.toml"


def _month_without_rate(folder):
    (folder / "money.toml").write_text('base = "USD"\n[index]\n2025 = [1.0]\n')
    return ["report"], "money.toml"


def _impossible_reading(folder):
    path = folder / "case.toml"
    facts = 'date = 2025-06-10\nsize_l = 150\norigin = "new"\nunit_age_years = 5\nsymptom = "SYM_NOCOOL_AC"\n'
    path.write_text(facts + '[findings]\nC09 = { value = -40, unit = "W", rated = 225 }\n')
    return ["decide", str(path)], "case.toml"


def _missing_case(folder):
    return ["decide", str(folder / "nothing.toml")], "nothing.toml"


def _profile_with_a_typo(folder):
    path = next((folder / "profiles").glob("harbour.toml"))
    path.write_text(path.read_text().replace("[columns]", "[colums]"))
    return ["import"], "columns"


def _half_written_workbook(folder):
    path = next((folder / "raw").glob("*.xlsx"))
    path.write_bytes(path.read_bytes()[:2000])
    return ["import"], path.name


def _empty_file(folder):
    path = folder / "raw" / "harbour_orders.csv"
    path.write_bytes(b"")
    return ["import"], path.name


def _wrong_encoding(folder):
    path = folder / "raw" / "hilltop_visits.csv"
    path.write_bytes(path.read_bytes() + "T1,Atelier Évariste\n".encode("cp1252"))
    return ["import"], path.name


@pytest.mark.parametrize(
    "spoil",
    [
        _price_without_currency, _month_without_rate, _impossible_reading, _missing_case, _profile_with_a_typo, _half_written_workbook, _empty_file,
        _wrong_encoding,
    ],
)
def test_bad_input_is_told_in_a_paragraph(project, spoil):
    """Exit code 3, one paragraph with a line for each fault that names the place, no traceback, the store's bytes unchanged."""
    before = (project / "store.duckdb").read_bytes()
    arguments, named = spoil(project)
    done = run(*arguments, "--project", str(project))
    assert done.exit_code == 3, done.output
    assert named in done.stderr
    assert len(done.stderr.strip().splitlines()) == (2 if spoil is _profile_with_a_typo else 1)
    assert all(named in line for line in done.stderr.strip().splitlines())
    assert "Traceback" not in done.stderr
    assert (project / "store.duckdb").read_bytes() == before


def test_nothing_personal_comes_out(tmp_path):
    """No planted name, phone or address in what run, check and explain print or write; the demo plants them in free text and columns."""
    folder = copy_of(imported_demo(), tmp_path / "project")
    planted = json.loads((folder / "truth.json").read_text())["personal"]
    printed = [run("run", str(folder), "--verbose"), run("check", "--project", str(folder), "--json"), run("run", str(folder), "--json")]
    texts = [done.output for done in printed] + [path.read_text(encoding="utf-8") for path in (folder / "out").iterdir()]
    assert len(planted) > 50
    assert len(texts) == 5
    assert [word for word in planted if any(word in text for text in texts)] == []
