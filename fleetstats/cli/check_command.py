"""`fleetstats check`: the account of every row, and the quality of every source."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from fleetstats.cli import options

if TYPE_CHECKING:
    from fleetstats.settings import Project


@options.command(
    "check", short="account for every row; quality by source", example="fleetstats check --project synthetic_data",
    call="fleetstats.records.quality_account(project, fleetstats.load_fleet(project))",
    see_also=("import", "explain"),
)
@options.project
@click.option("--profile", type=options.FILE, default=None, metavar="FILE", help="Show instead what this profile makes of the first rows of its files.")
@click.option("--output", type=options.FILE, default=None, metavar="FILE", help="Write the figure of complete and missing fields there, as SVG.")
@options.as_json
def command(project_folder: Path, profile: Path | None, output: Path | None, as_json: bool, verbose: bool) -> None:
    """Show what became of every row, what was refused, what is not understood, what is missing in each source and what that costs."""
    from fleetstats.cli.account import account_data, account_text, cells_text, refused_text
    from fleetstats.cli.envelope import emit
    from fleetstats.cli.quality_text import quality_text, write_figure
    from fleetstats.records import load_fleet, lost_cells, quality_account, refusals
    from fleetstats.settings import open_project

    project = open_project(project_folder)
    if profile is not None:
        _show_profile(project, profile, as_json)
        return
    fleet = load_fleet(project)
    quality = quality_account(project, fleet)
    if output is not None:
        write_figure(quality, output)
        click.echo(f"Written: {output}", err=True)
    if as_json:
        data = {**account_data(fleet.files, fleet.unknown), "rejects": fleet.rejects, "quality": quality}
        emit("check", data, inputs=fleet.fingerprint.inputs, parameters={}, seed=None, warnings=quality.cautions)
        return
    faults = refusals(fleet.rejects)
    click.echo(account_text(fleet.files, fleet.unknown, lost_cells(faults), frequent=20))
    if len(faults):
        click.echo(f"\n{refused_text(faults)}")
    if cells := cells_text(fleet.rejects):
        click.echo(f"\n{cells}")
    click.echo(f"\n{quality_text(quality)}")


def _show_profile(project: Project, profile: Path, as_json: bool) -> None:
    """The first rows of the files that a profile names, before and after."""
    from fleetstats.cli.envelope import emit
    from fleetstats.cli.preview_text import preview_text, unfinished_text
    from fleetstats.sources import load_profile, preview, unfinished

    files = preview(project, profile)
    left = unfinished(load_profile(profile), tuple(dict.fromkeys(heading for file in files for heading in file.unused)))
    if as_json:
        emit("check", {"profile": profile.stem, "files": files, "unfinished": left}, inputs={}, parameters={"profile": profile.name}, seed=None)
        return
    click.echo("\n\n".join((*(preview_text(file) for file in files), unfinished_text(left, profile, project))))
