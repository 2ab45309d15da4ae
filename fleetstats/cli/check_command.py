"""`fleetstats check`: the data-quality account."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "check", short="account for every row", example="fleetstats check --project synthetic_data",
    call="fleetstats.load_fleet(project).files",
    see_also=("import", "explain"),
)
@options.project
@options.as_json
def command(project_folder: Path, as_json: bool, verbose: bool) -> None:
    """Show what became of every row of every file, what was refused, and which texts are not understood."""
    from fleetstats.cli.account import account_data, account_text, refused_text
    from fleetstats.cli.envelope import emit
    from fleetstats.records import load_fleet, refusals
    from fleetstats.settings import open_project

    fleet = load_fleet(open_project(project_folder))
    if as_json:
        data = {**account_data(fleet.files, fleet.unknown), "rejects": fleet.rejects}
        emit("check", data, inputs=fleet.fingerprint.inputs, parameters={}, seed=None)
        return
    click.echo(account_text(fleet.files, fleet.unknown, 0, frequent=20))
    if len(fleet.rejects):
        click.echo(f"\n{refused_text(refusals(fleet.rejects))}")
