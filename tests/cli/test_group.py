"""The group: lazy, and every fault ends in a sentence with its declared code."""

import importlib
import re
import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

import fleetstats
from fleetstats.cli import main, options
from fleetstats.cli.group import COMMANDS
from fleetstats.errors import BeyondData, CannotAnswer, InputRefused, Problem, StoreBusy

PROBLEM = Problem(what="it does not add up", file="a.csv", row=3, remedy="Mend it.")


def failing(error):
    @options.command("failing", short="fail", example="fleetstats failing", call="failing()", see_also=())
    def command(verbose):
        """Fail."""
        raise error

    return command


def test_help_lists_every_command_and_imports_nothing_heavy():
    """A bare `--help` loads neither pandas nor numpy nor pydantic (checked in a new interpreter)."""
    code = (
        "import sys; sys.argv = ['fleetstats', '--help']\n"
        "from fleetstats.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "print([name for name in ('pandas', 'numpy', 'pydantic', 'matplotlib', 'rich') if name in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout
    assert shown.splitlines()[-1] == "[]"
    for name in COMMANDS:
        assert f"\n  {name} " in shown


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (InputRefused(PROBLEM), 3), (CannotAnswer(PROBLEM), 4), (BeyondData(PROBLEM), 4), (StoreBusy(PROBLEM), 5), (ValueError("odd"), 1),
        (KeyboardInterrupt(), 130), (PermissionError(13, "Permission denied", "/some/out"), 3), (OSError(28, "No space left on device"), 3),
    ],
)
def test_exit_codes(error, code):
    """3 input refused or not to be reached, 4 cannot answer, 5 store busy, 1 our own fault, 130 interrupted; one paragraph on standard error, no traceback."""
    done = CliRunner().invoke(failing(error), [])
    assert done.exit_code == code
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr


def test_the_paragraph_names_place_and_remedy():
    """The message of a problem reaches the user whole."""
    done = CliRunner().invoke(failing(InputRefused(PROBLEM)), [])
    assert done.stderr == "a.csv, row 3: it does not add up. Mend it.\n"


def test_verbose_shows_where_it_happened():
    """--verbose adds the traceback that is otherwise kept back."""
    done = CliRunner().invoke(failing(ValueError("odd")), ["--verbose"])
    assert done.exit_code == 1
    assert "Traceback" in done.stderr


@pytest.mark.parametrize("arguments", [["no-such-command"], ["diagnose", "--level", "2"], ["decide"], ["decide", "a.toml", "--visit", "x"], ["demo"],
                                       ["run", "a", "--project", "b"]])
def test_wrong_usage_ends_with_2(arguments):
    """click's own code for wrong usage, message on standard error."""
    done = CliRunner().invoke(main, arguments)
    assert done.exit_code == 2
    assert "Error" in done.stderr


@pytest.mark.parametrize("name", COMMANDS)
def test_every_help_has_one_sentence_an_example_and_what_to_read_next(name):
    """The help of every command: its sentence, one example that names it, the call in Python, and commands that exist."""
    command = main.get_command(click.Context(main), name)
    shown = CliRunner().invoke(main, [name, "--help"]).output
    assert command.example.startswith(f"fleetstats {name}")
    assert command.example in shown
    assert command.help.strip().endswith(".")
    assert command.help.strip().count(". ") == 0
    assert set(command.see_also) <= set(COMMANDS)
    assert "--verbose" in shown
    assert "--json" in shown


@pytest.mark.parametrize("name", COMMANDS)
def test_the_call_in_python_exists(name):
    """Every dotted name of the call that a help shows can be looked up in the package."""
    command = main.get_command(click.Context(main), name)
    calls = re.findall(r"fleetstats((?:\.\w+)+)\(", command.call)
    assert calls
    for call in calls:
        place, *rest = call[1:].split(".")
        found = getattr(fleetstats, place, None) or importlib.import_module(f"fleetstats.{place}")
        for part in rest:
            found = getattr(found, part, None) or importlib.import_module(f"{found.__name__}.{part}")
        assert callable(found)


def test_no_project_is_refused(tmp_path, monkeypatch):
    """Outside any project: exit code 3, with what to do."""
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(main, ["check"])
    assert done.exit_code == 3
    assert "fleetstats.toml" in done.stderr


def test_dictionary_needs_no_project():
    """The data dictionary is made of the declarations alone."""
    done = CliRunner().invoke(main, ["dictionary"])
    assert done.exit_code == 0
    assert "## visits" in done.stdout
