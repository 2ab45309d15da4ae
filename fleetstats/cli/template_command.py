"""`fleetstats template`: an empty workbook to paste columns into."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "template", short="write an empty workbook to fill", example="fleetstats template my_fleet.xlsx",
    call="fleetstats.sources.template_workbook(path)",
    see_also=("draft", "dictionary", "import"),
)
@click.argument("file", type=options.FILE, default=Path("fleetstats_template.xlsx"), required=False)
@options.as_json
def command(file: Path, as_json: bool, verbose: bool) -> None:
    """Write a workbook with one sheet per table and our own column names; filled and put into raw/, it needs no profile."""
    from fleetstats.cli.envelope import emit
    from fleetstats.errors import InputRefused, Problem
    from fleetstats.sources import template_workbook

    if file.suffix.lower() != ".xlsx":
        raise InputRefused(Problem(what="a workbook needs a name that ends in .xlsx", file=file.name, remedy=f"Name it {file.stem}.xlsx."))
    options.refuse_existing(file)
    template_workbook(file)
    if as_json:
        emit("template", {"file": str(file)}, inputs={}, parameters={}, seed=None)
        return
    click.echo(f"Written: {file}. Fill the sheets you have, save it in raw/ of the project, then: fleetstats import")
