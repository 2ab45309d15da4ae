"""`fleetstats run`: import, then the report, then a few lines of answers."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "run", short="import, then write the report", example="fleetstats run synthetic_data",
    call="fleetstats.write_report(fleetstats.analyse(project), project.out)",
    see_also=("import", "check", "report", "decide"),
)
@click.argument("folder", type=options.FOLDER, required=False)
@options.project
@options.level
@options.seed
@click.option("--output", type=options.FOLDER, default=None, metavar="DIR", help="Folder of the report.  [default: out in the project]")
@options.jobs
@options.as_json
def command(
    folder: Path | None, project_folder: Path, level: float | None, seed: int | None, output: Path | None, jobs: int | None, as_json: bool, verbose: bool,
) -> None:
    """Read the files of a project, ask every question they can answer, and write the quarterly report."""
    if folder is not None and project_folder != Path("."):
        raise click.UsageError("Name the project once: as FOLDER or with --project.")
    import fleetstats
    from fleetstats.cli.progress import progress
    from fleetstats.cli.reporting import tell
    from fleetstats.report import keep_headline

    project = fleetstats.open_project(folder or project_folder)
    with progress(verbose) as told:
        fleetstats.import_files(project, told, jobs=jobs)
        told("answering")
        quarterly = fleetstats.analyse(project, level=level, seed=seed)
        paths = fleetstats.write_report(quarterly, output or project.out)
        keep_headline(project, quarterly)
    tell("run", quarterly, paths, as_json=as_json)
