"""The options that mean the same in every command, and the decorator that makes a command."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from fleetstats.cli.group import Command

Function = TypeVar("Function", bound=Callable[..., Any])

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(dir_okay=False, path_type=Path)

project = click.option("--project", "project_folder", type=FOLDER, default=Path("."), metavar="DIR",
                       help="Project folder, or one inside it.  [default: this folder]")
as_json = click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
verbose = click.option("--verbose", "-v", is_flag=True, help="Show progress notes, and where a fault happened.")
level = click.option("--level", type=click.FloatRange(0.5, 0.999), default=None, metavar="SHARE",
                     help="Content of two-sided intervals, as a share.  [default: fleetstats.toml, else 0.90]")
seed = click.option("--seed", type=click.IntRange(min=0), default=None, metavar="N", help="Seed of all draws.  [default: fleetstats.toml, else 20260101]")
jobs = click.option("--jobs", type=click.IntRange(1), default=None, envvar="FLEETSTATS_JOBS", metavar="N",
                    help="Processes that read files; no number changes with it.  [default: FLEETSTATS_JOBS, else as many as there are cores]")


def refuse_existing(file: Path) -> None:
    """Raises InputRefused where the file is there: what a person may have finished by hand is never overwritten."""
    from fleetstats.errors import InputRefused, Problem

    if file.exists():
        raise InputRefused(Problem(what="the file exists already", file=file.name, remedy="Name another file; nothing was changed."))


def command(name: str, *, short: str, example: str, call: str, see_also: tuple[str, ...]) -> Callable[[Callable[..., Any]], Command]:
    """Decorator: a function as the command `name`, with --verbose; its docstring is the one sentence of the help, `short` its line in the list."""

    def make(function: Callable[..., Any]) -> Command:
        return click.command(name, cls=Command, short_help=short, example=example, call=call, see_also=see_also)(verbose(function))

    return make
