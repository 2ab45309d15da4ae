"""`fleetstats import`: the shops' files into the store."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "import", short="read raw/ into the store", example="fleetstats import --project synthetic_data",
    call="fleetstats.import_files(project)",
    see_also=("check", "draft", "run"),
)
@options.project
@options.as_json
def command(project_folder: Path, as_json: bool, verbose: bool) -> None:
    """Read every file of raw/ into the store and account for every row."""
    import fleetstats
    from fleetstats.cli.account import account_data, account_text
    from fleetstats.cli.envelope import emit
    from fleetstats.cli.progress import progress

    project = fleetstats.open_project(project_folder)
    with progress(verbose) as told:
        account = fleetstats.import_files(project, told)
    if as_json:
        data = {"changed": account.changed, **account_data(account.files, account.unknown)}
        emit("import", data, inputs=account.inputs.inputs if account.inputs else {}, parameters={}, seed=None, warnings=account.cautions)
        return
    if not account.changed:
        click.echo("Nothing has changed since the last import.", err=True)
    click.echo(account_text(account.files, account.unknown, account.problems, frequent=3))
