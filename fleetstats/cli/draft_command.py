"""`fleetstats draft`: a first profile from a file's own columns."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "draft", short="draft a profile of a shop's file", example="fleetstats draft synthetic_data/raw/shops.csv",
    call="fleetstats.sources.draft_profile(path)",
    see_also=("template", "import"),
)
@click.argument("file", type=options.FILE)
@click.option("--output", type=options.FILE, default=None, metavar="FILE", help="Write the profile there instead of printing it.")
@options.as_json
def command(file: Path, output: Path | None, as_json: bool, verbose: bool) -> None:
    """Draft a source profile from a file's own headings and values; what it cannot know is left for a person."""
    from fleetstats.cli.envelope import emit
    from fleetstats.sources import draft_profile

    profile = draft_profile(file)
    if output is not None:
        options.refuse_existing(output)
        output.write_text(profile, encoding="utf-8")
    if as_json:
        emit("draft", {"profile": profile}, inputs={}, parameters={"file": file.name}, seed=None)
    elif output is None:
        click.echo(profile)
    else:
        click.echo(f"Written: {output}. Finish the lines left open and see what it makes of the file: fleetstats check --profile {output}")
