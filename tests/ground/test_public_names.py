"""The names most people need: pinned, resolvable, and none hidden by a room of the same name."""

import inspect
from pathlib import Path

import fleetstats as fs


def test_the_public_names_are_these():
    """A change of this list is a change of the interface."""
    assert fs.__all__ == [
        "analyse", "audit_removals", "audit_senders", "build_histories", "decide", "draw_causes", "estimate_life", "figures", "import_files", "load_fleet",
        "next_year", "open_project", "read_case", "write_report",
    ]


def test_every_public_name_resolves_and_says_what_it_does():
    """Each is a function with a docstring, but for the room of figures."""
    for name in fs.__all__:
        thing = getattr(fs, name)
        assert thing.__doc__, name
        assert inspect.isfunction(thing) or name == "figures"


def test_no_public_function_shares_its_name_with_a_room():
    """Once a room is imported, the module would hide the function."""
    rooms = {path.name.removesuffix(".py") for path in Path(fs.__file__).parent.iterdir()}
    assert rooms & set(fs.__all__) == {"figures"}
