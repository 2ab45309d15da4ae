"""`fleetstats decide`: what to do with one unit."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "decide", short="what to do with one unit", example="fleetstats decide synthetic_data/cases/half_heat.toml --project synthetic_data",
    call="fleetstats.decide(fleetstats.read_case(path), ...)",
    see_also=("diagnose", "explain"),
)
@click.argument("case", type=options.FILE, required=False)
@click.option("--visit", "visit_id", default=None, metavar="ID", help="A visit of the store instead of a case file.")
@options.project
@options.level
@options.seed
@options.as_json
def command(
    case: Path | None, visit_id: str | None, project_folder: Path, level: float | None, seed: int | None, as_json: bool, verbose: bool,
) -> None:
    """Say what to do with the unit of a case or a visit: how probable a true failure is, what each option costs, what would change it."""
    if (case is None) == (visit_id is None):
        raise click.UsageError("Name a case file, or a visit with --visit; not both.")
    import fleetstats
    from fleetstats.cli.asking import asked_fleet
    from fleetstats.cli.envelope import emit
    from fleetstats.cli.sheet import decision_text
    from fleetstats.report.grounds import grounds_of

    fleet = asked_fleet(project_folder, level, seed)
    grounds = grounds_of(fleetstats.open_project(project_folder), fleet)
    decision = grounds.decide_visit(visit_id) if visit_id is not None else grounds.decide(fleetstats.read_case(str(case)))
    if as_json:
        parameters = {"level": fleet.settings.level, "case": decision.case}
        emit("decide", decision, inputs=fleet.fingerprint.inputs, parameters=parameters, seed=decision.seed, warnings=decision.cautions)
        return
    click.echo(decision_text(decision))
