"""`fleetstats estimate`: how long cooling units last."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "estimate", short="how long units last", example="fleetstats estimate --project synthetic_data",
    call="fleetstats.estimate_life(histories, causes, settings)",
    see_also=("diagnose", "report"),
)
@options.project
@options.level
@options.seed
@options.as_json
def command(project_folder: Path, level: float | None, seed: int | None, as_json: bool, verbose: bool) -> None:
    """Say how long new and reconditioned units last, as recorded beside corrected for needless removals."""
    import fleetstats
    from fleetstats.cli.asking import asked_fleet
    from fleetstats.cli.envelope import emit
    from fleetstats.cli.lives import lives_text

    fleet = asked_fleet(project_folder, level, seed)
    histories = fleetstats.build_histories(fleet)
    causes = fleetstats.draw_causes(histories, fleet.settings)
    lives = fleetstats.estimate_life(histories, causes, fleet.settings)
    text = lives_text(lives)
    if as_json:
        settings = fleet.settings
        emit("estimate", lives, inputs=fleet.fingerprint.inputs, parameters={"level": settings.level}, seed=settings.seed, warnings=lives.cautions)
        return
    click.echo(text)
