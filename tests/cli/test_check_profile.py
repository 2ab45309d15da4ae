import json

from click.testing import CliRunner

from fleetstats.cli.check_command import command

PROFILE = 'files = ["shop.csv"]\n[format]\ndate_order = "dmy"\n[columns]\n"No" = "document"\n"In" = "date_in"\n"Said" = "complaint_text"\n'


def _project(folder):
    (folder / "raw").mkdir()
    (folder / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
    (folder / "raw" / "shop.csv").write_text("No,In,Said\nA1,13/05/2021,fridge warm\nA2,05/25/2021,fridge warm\n", encoding="utf-8")
    (folder / "shop.toml").write_text(PROFILE, encoding="utf-8")
    return ["--project", str(folder), "--profile", str(folder / "shop.toml")]


def test_a_profile_is_tried_before_anything_is_imported(tmp_path):
    """No store is needed and none is made; the text shows before, after and why."""
    shown = CliRunner().invoke(command, _project(tmp_path))
    assert shown.exit_code == 0, shown.output
    assert "shop.csv: 2 rows read: 2 kept." in shown.output
    assert "13/05/2021        2021-05-13" in shown.output
    assert "an impossible date" in shown.output
    assert not (tmp_path / "store.duckdb").exists()


def test_the_same_as_json(tmp_path):
    """The envelope of every command, with the rows as data."""
    data = json.loads(CliRunner().invoke(command, [*_project(tmp_path), "--json"]).output)
    assert data["schema"].startswith("fleetstats.check/")
    day = data["data"]["files"][0]["rows"][0]["cells"][1]
    assert (day["heading"], day["before"], day["after"], day["why"]) == ("In", "13/05/2021", "2021-05-13", None)
