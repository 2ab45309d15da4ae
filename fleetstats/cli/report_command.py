"""`fleetstats report`: the quarterly report from records already imported."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "report", short="write the quarterly report", example="fleetstats report --project synthetic_data",
    call="fleetstats.write_report(fleetstats.analyse(project), project.out)",
    see_also=("run", "explain"),
)
@options.project
@options.level
@options.seed
@click.option("--output", type=options.FOLDER, default=None, metavar="DIR", help="Folder of the report.  [default: out in the project]")
@options.as_json
def command(project_folder: Path, level: float | None, seed: int | None, output: Path | None, as_json: bool, verbose: bool) -> None:
    """Write the quarterly report of the records in the store, as a page and as JSON."""
    import fleetstats
    from fleetstats.cli.progress import progress
    from fleetstats.cli.reporting import tell

    project = fleetstats.open_project(project_folder)
    with progress(verbose) as told:
        told("answering")
        quarterly = fleetstats.analyse(project, level=level, seed=seed)
        paths = fleetstats.write_report(quarterly, output or project.out)
    tell("report", quarterly, paths, as_json=as_json)
