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
@options.jobs
@options.as_json
def command(project_folder: Path, jobs: int | None, as_json: bool, verbose: bool) -> None:
    """Read every new file of raw/ into the store, account for every row and say what changed."""
    import fleetstats
    from fleetstats.cli.account import account_data, account_text
    from fleetstats.cli.envelope import emit
    from fleetstats.cli.progress import progress
    from fleetstats.records import change_lines

    project = fleetstats.open_project(project_folder)
    with progress(verbose) as told:
        account = fleetstats.import_files(project, told, jobs=jobs)
    journal = account.journal
    if as_json:
        entry = journal.imports.iloc[-1].drop("figures").to_dict() | {"inputs": journal.last.drop(columns="number")}
        data = {"changed": account.changed, "amounts_changed": account.amounts, "last_import": entry, "kept_out": account.kept_out,
                **account_data(account.files, account.unknown)}
        emit("import", data, inputs=account.inputs.inputs if account.inputs else {}, parameters={}, seed=None, warnings=account.cautions)
        return
    if not account.changed:
        click.echo("Nothing has changed since the last import.", err=True)
    click.echo(account_text(account.files, account.unknown, account.cells, frequent=3))
    if account.kept_out:
        click.echo(f"Money does not count: {'; '.join(account.kept_out)}.")
    if account.cells or account.remarks or account.kept_out or account.files["rejected"].any():
        click.echo("fleetstats check names what was refused or is to be looked at, and says what to do.")
    if account.changed and journal.number > 1:
        click.echo("\nSince the import before:\n" + "\n".join(f"  {line}" for line in change_lines(journal.last)))
        for row in account.amounts.to_dict("records"):
            click.echo(f"  {row['file']}: amounts of {row['now']:,.2f} read, before {row['before']:,.2f} ({row['basis']})")
