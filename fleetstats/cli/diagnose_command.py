"""`fleetstats diagnose`: how many condemned units were healthy."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "diagnose", short="units condemned but healthy", example="fleetstats diagnose --project synthetic_data",
    call="fleetstats.audit_removals(histories, causes, fleet.bench_tests, settings)",
    see_also=("estimate", "decide", "report"),
)
@options.project
@options.level
@options.seed
@options.as_json
def command(project_folder: Path, level: float | None, seed: int | None, as_json: bool, verbose: bool) -> None:
    """Say how many of the condemned units were healthy: overall, by shop, and by sender to the bench."""
    from fleetstats.cli.asking import asked_fleet
    from fleetstats.cli.audit import audit_data, audit_of, audit_text
    from fleetstats.cli.envelope import emit

    fleet = asked_fleet(project_folder, level, seed)
    removals, senders = audit_of(fleet)
    if as_json:
        settings = fleet.settings
        cautions = [text for part in (removals, senders) if part is not None for text in part.cautions]
        data, parameters = audit_data(removals, senders), {"level": settings.level}
        emit("diagnose", data, inputs=fleet.fingerprint.inputs, parameters=parameters, seed=settings.seed, warnings=cautions)
        return
    click.echo(audit_text(removals, senders))
