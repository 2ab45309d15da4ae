"""`fleetstats explain`: follow a vehicle, a unit, a visit or a number back to rows."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "explain", short="follow a name or number back to rows", example="fleetstats explain share:needless --project synthetic_data",
    call="fleetstats.report.trace.story(fleet, histories, name)",
    see_also=("check", "report"),
)
@click.argument("name", metavar="ID")
@options.project
@options.as_json
def command(name: str, project_folder: Path, as_json: bool, verbose: bool) -> None:
    """Tell the story of a vehicle, a unit's serial or a visit with file and row, or of a headline number such as share:needless."""
    import fleetstats
    from fleetstats.cli.asking import asked_fleet
    from fleetstats.cli.envelope import emit
    from fleetstats.report.trace import story

    fleet = asked_fleet(project_folder)
    lines = story(fleet, fleetstats.build_histories(fleet), name)
    if as_json:
        emit("explain", {"id": name, "story": lines}, inputs=fleet.fingerprint.inputs, parameters={"id": name}, seed=fleet.settings.seed)
        return
    click.echo("\n".join(lines))
