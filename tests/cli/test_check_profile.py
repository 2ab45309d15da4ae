import json

from click.testing import CliRunner

from fleetstats.cli.check_command import command
from fleetstats.cli.import_command import command as import_command

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


def test_what_is_left_open_and_what_comes_next_stand_at_the_end(tmp_path):
    """No vehicle, currency, tax or shop, one column unread: each is told, amounts say why they are kept out, and the next command stands last."""
    arguments = _project(tmp_path)
    (tmp_path / "raw" / "shop.csv").write_text("No,In,Said,Sum,Who\nA1,13/05/2021,fridge warm,90,x\n", encoding="utf-8")
    (tmp_path / "shop.toml").write_text(PROFILE + '"Sum" = "total_cost"\n', encoding="utf-8")
    shown = CliRunner().invoke(command, arguments).output
    *_, last = shown.split("\n\n")
    assert [line.split(":")[0] for line in last.splitlines()[1:-1]] == [
        "- No column is vehicle_id", "- currency under [money] is not stated", "- tax under [money] is not stated", "- No shop is named",
        "- 1 column of the file has no column of ours and is not read"]
    assert last.splitlines()[-1].endswith(f"fleetstats import --project {tmp_path}")
    assert "Put the profile into profiles/" in last
    amount, = [line for line in shown.splitlines() if line.startswith("Sum ")]
    assert "(nothing)" in amount
    assert "the currency is not stated" in amount


def test_a_finished_profile_is_called_that(tmp_path):
    """Everything stated: nothing is left open; a profile within profiles/ is not to be moved."""
    arguments = _project(tmp_path)
    (tmp_path / "profiles").mkdir()
    profile = tmp_path / "profiles" / "shop.toml"
    profile.write_text(PROFILE.replace('"No" = "document"', '"No" = "vehicle_id"') + '[constants]\nshop = "North"\n', encoding="utf-8")
    shown = CliRunner().invoke(command, [*arguments[:3], str(profile)]).output
    assert shown.strip().splitlines()[-1] == f"Nothing is left open in shop.toml. Next: fleetstats import --project {tmp_path}"
    assert json.loads(CliRunner().invoke(command, [*arguments[:3], str(profile), "--json"]).output)["data"]["unfinished"] == []


def test_an_import_points_to_money_that_does_not_count(tmp_path):
    """Amounts without a currency: one line names file and reason and the command that says what to do."""
    arguments = _project(tmp_path)
    (tmp_path / "raw" / "shop.csv").write_text("No,In,Said,Sum\nA1,13/05/2021,fridge warm,90\n", encoding="utf-8")
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles" / "shop.toml").write_text(PROFILE + '"Sum" = "total_cost"\n', encoding="utf-8")
    said = CliRunner().invoke(import_command, arguments[:2]).output.splitlines()
    assert "Money does not count: shop.csv, the currency is not stated: the amounts of 1 row were kept out." in said
    assert any("fleetstats check names what was refused or is to be looked at" in line for line in said)
