"""`fleetstats demo`: the demo fleet, whose truth is known."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "demo", short="write a project whose truth is known", example="fleetstats demo my_demo --vehicles 60",
    call="fleetstats.synthetic.write_demo(folder, seed=20260101)",
    see_also=("run", "template"),
)
@click.argument("folder", type=options.FOLDER)
@click.option("--seed", type=click.IntRange(min=0), default=20260101, show_default=True, metavar="N", help="Seed of the fleet's story.")
@click.option("--vehicles", type=click.IntRange(min=1), default=None, metavar="N", help="Number of vehicles.  [default: as in scenario.toml]")
@options.as_json
def command(folder: Path, seed: int, vehicles: int | None, as_json: bool, verbose: bool) -> None:
    """Write a project folder with an invented fleet whose truth is known, ready for `fleetstats run`."""
    from fleetstats.cli.envelope import emit
    from fleetstats.errors import InputRefused, Problem
    from fleetstats.synthetic import write_demo

    if folder.exists() and any(folder.iterdir()):
        raise InputRefused(Problem(what="the folder is not empty", found=folder.name, remedy="Name a new folder; nothing was changed."))
    write_demo(folder, seed=seed, vehicles=vehicles)
    if as_json:
        files = sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())
        emit("demo", {"files": files}, inputs={}, parameters={"vehicles": vehicles}, seed=seed)
        return
    click.echo(f"Written: {folder}. Next: fleetstats run {folder}")
