"""Every command on the demo: its example runs, its JSON has the contract's keys, its text is plain."""

import json
import shlex
import shutil
import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

import fleetstats
from fleetstats.cli import main
from fleetstats.cli.group import COMMANDS
from fleetstats.records import still_open
from tests.demo import copy_of, imported_demo

ESTIMATE = {"estimate", "lower", "upper", "level", "method", "unit"}


def run(*arguments: str):
    return CliRunner().invoke(main, list(arguments), catch_exceptions=False)


def data(name: str, *arguments: str):
    done = run(name, *arguments, "--json")
    assert done.exit_code == 0, done.stderr
    found = json.loads(done.stdout, parse_constant=lambda word: pytest.fail(f"{word} in JSON"))
    assert found["schema"] == f"fleetstats.{name}/1"
    assert set(found) == {"schema", "version", "inputs", "parameters", "seed", "warnings", "data"}
    return found


@pytest.fixture(scope="module")
def folder() -> str:
    return str(imported_demo())


def test_check_accounts_for_every_row(folder):
    """rows_read is the sum of the six fates in every file, and inputs carry 64 hexadecimal digits each."""
    found = data("check", "--project", folder)
    fates = ("accepted", "merged", "superseded", "set_aside", "rejected", "furniture")
    assert len(found["data"]["files"]) >= 8
    for row in found["data"]["files"]:
        assert row["rows_read"] == sum(row[name] for name in fates)
    assert all(set(row) == {"text", "count", "example", "file", "sheet", "row"} for row in found["data"]["unknown"])
    assert all(len(item["sha256"]) == 64 for item in found["inputs"])


def test_diagnose_has_the_share_by_shop_and_by_sender(folder):
    """The keys outside checks read; every estimate has its six fields."""
    found = data("diagnose", "--project", folder)["data"]
    share = found["needless_share"]
    assert found["condemned"] >= found["tested"] > 10
    for name in ("tested_only", "corrected", "corrected_all_shops"):
        assert set(share[name]) == ESTIMATE
    assert set(share["bounds"]) == {"lower", "upper"}
    assert sum(row["condemned"] for row in found["by_shop"]) == found["condemned"]
    assert {"shop", "condemned", "tested", "corrected"} <= set(found["by_shop"][0])
    assert found["by_sender"]


def test_level_and_seed_are_in_force_and_said(folder):
    """A narrower interval at level 0.5; the options used stand in the envelope."""
    wide, narrow = (data("diagnose", "--project", folder, "--level", level, "--seed", "5") for level in ("0.9", "0.5"))
    assert narrow["seed"] == 5
    assert narrow["parameters"]["level"] == 0.5
    ends = [found["data"]["needless_share"]["corrected"] for found in (wide, narrow)]
    assert ends[1]["upper"] - ends[1]["lower"] < ends[0]["upper"] - ends[0]["lower"]


def test_estimate_has_both_bases_of_new_units(folder):
    """As recorded beside corrected, each with failures, reference and four estimates."""
    populations = data("estimate", "--project", folder)["data"]["populations"]
    assert {(p["origin"], p["basis"]) for p in populations} >= {("new", "corrected"), ("new", "as_recorded")}
    for population in populations:
        assert population["failures"] > 0
        assert population["reference"]
        assert all(set(population[name]) == ESTIMATE for name in ("shape", "scale_years", "b10_years", "b50_years"))


@pytest.mark.parametrize("case", ["half_heat", "leak_smell", "no_cooling"])
def test_decide_has_the_whole_sheet(folder, case):
    """Ten options, gate, probability; a closed gate never leaves remedy, verify or defer a cost."""
    sheet = data("decide", f"{folder}/cases/{case}.toml", "--project", folder)["data"]
    assert len(sheet["options"]) == 10
    assert set(sheet["probability_true_failure"]) == ESTIMATE
    assert sheet["gate_state"] in ("closed", "clear", "not checked")
    assert {"gate_finding", "recommended", "thresholds"} <= set(sheet)
    assert all({"option", "cost", "p_best", "regret"} <= set(line) for line in sheet["options"])
    if sheet["gate_state"] == "closed":
        assert not [line["option"] for line in sheet["options"] if line["cost"] and line["option"] in ("remedy", "verify", "defer")]


def test_decide_for_a_visit_of_the_store(folder):
    """An open visit can be asked for by its id."""
    fleet = fleetstats.load_fleet(fleetstats.open_project(folder))
    name = str(still_open(fleet.visits, fleet.settings)["visit_id"].iloc[0])
    assert data("decide", "--visit", name, "--project", folder)["data"]["case"] == name


def test_explain_tells_a_story(folder):
    """A headline number, a vehicle and a visit each begin with what they are; an unknown name is refused."""
    fleet = fleetstats.load_fleet(fleetstats.open_project(folder))
    vehicle, visit = fleet.vehicles["vehicle_id"].iloc[0], fleet.visits["visit_id"].iloc[0]
    assert data("explain", "share:needless", "--project", folder)["data"]["story"][0].startswith("share:needless is the share")
    assert run("explain", vehicle, "--project", folder).stdout.startswith(f"Vehicle {vehicle}")
    told = run("explain", visit, "--project", folder).stdout
    assert told.startswith(f"Visit {visit}")
    assert "row " in told
    assert run("explain", "nobody", "--project", folder).exit_code == 3


def test_run_prints_the_answers_and_where_the_report_lies(tmp_path):
    """Five to eight lines of answers, then the path of a file that exists; twice the same bytes, the second run imports nothing anew."""
    folder = copy_of(imported_demo(), tmp_path / "copy")
    first = run("run", str(folder))
    report = folder / "out" / "quarterly_2025-Q4.html"
    names = [line.split("   ")[0] for line in first.stdout.splitlines() if line and not line.startswith(" ")]
    assert names[:3] == ["Records", "Condemned units", "Needless among them"]
    assert 6 <= len(names) <= 8
    assert names[-1].startswith("Report: ")
    pages = report.read_bytes(), report.with_suffix(".json").read_bytes()
    second = run("run", "--project", str(folder))
    assert second.stdout == first.stdout
    assert (report.read_bytes(), report.with_suffix(".json").read_bytes()) == pages


def test_import_twice_changes_nothing(tmp_path):
    """The second import says so and leaves the account as it was."""
    folder = str(copy_of(imported_demo(60), tmp_path / "copy"))
    first, second = (data("import", "--project", folder)["data"] for _ in range(2))
    assert (first.pop("changed"), second.pop("changed")) == (True, False)
    assert first == second


def test_files_are_never_overwritten(tmp_path, monkeypatch):
    """template, demo and draft refuse what exists already: exit code 3, content untouched."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "a").write_text("mine")
    (tmp_path / "book.xlsx").write_text("mine")
    assert run("template", "book.xlsx").exit_code == 3
    assert run("demo", "full").exit_code == 3
    (tmp_path / "shop.csv").write_text("Van,In\nV1,2021-03-02\n")
    assert run("draft", "shop.csv", "--output", "shop.csv").exit_code == 3
    assert (tmp_path / "shop.csv").read_text().startswith("Van")
    assert (tmp_path / "book.xlsx").read_text() == "mine"


@pytest.mark.parametrize("arguments", [
    ["template", "nowhere/book.xlsx"], ["dictionary", "--output", "nowhere/page.md"], ["draft", "shop.csv", "--output", "nowhere/shop.toml"],
    ["template", "book.csv"],
])
def test_a_place_that_cannot_be_written_is_no_fault_of_ours(arguments, tmp_path, monkeypatch):
    """A folder that is not there, or a name that would be read as something else: exit code 3, one paragraph with the name, nothing left behind."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop.csv").write_text("Van,In\nV1,2021-03-02\n")
    done = run(*arguments)
    assert done.exit_code == 3
    assert arguments[-1].split("/")[-1] in done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["shop.csv"]


def test_estimate_says_each_caution_once(folder):
    """Whatever holds for several populations stands once, with their names; what was left out of the lives stands there too."""
    told = run("estimate", "--project", folder).stdout
    notes = [line for line in told.splitlines() if line.startswith("- ")]
    assert len(notes) == len(set(notes))
    assert sum("Counts needless removals as failures" in line for line in notes) == 1
    left_out = data("estimate", "--project", folder)["warnings"]
    assert left_out
    assert {f"- {text}" for text in left_out} <= set(notes)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_example_of_every_help_works(name, tmp_path, monkeypatch):
    """The line a user copies from the help, run in a folder that holds the demo, ends with 0."""
    monkeypatch.chdir(tmp_path)
    if name != "demo":
        shutil.copytree(imported_demo(), tmp_path / "synthetic_data")
    command = main.get_command(click.Context(main), name)
    arguments = shlex.split(command.example)[1:]
    done = run(*arguments)
    assert done.exit_code == 0, done.stderr
    assert done.stdout


def test_as_a_program_results_and_notes_are_apart(tmp_path):
    """In a process of its own: JSON alone on standard output, progress notes on standard error."""
    folder = str(copy_of(imported_demo(60), tmp_path / "copy"))
    code = "from fleetstats.cli import main; main()"
    done = subprocess.run([sys.executable, "-c", code, "import", "--project", folder, "--json", "--verbose"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "harbour_orders.csv" in done.stderr
    assert json.loads(done.stdout)["schema"] == "fleetstats.import/1"
