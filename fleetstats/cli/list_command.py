"""`fleetstats list`: what the import met and does not understand, with what would teach it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from fleetstats.cli import options

if TYPE_CHECKING:
    import pandas as pd

LISTED = 20


@options.command(
    "list", short="list texts that are not understood", example="fleetstats list unknown --project synthetic_data",
    call="fleetstats.vocabulary.hints.teaching(fleetstats.load_fleet(project).unknown)",
    see_also=("import", "check", "dictionary"),
)
@click.argument("thing", metavar="unknown", type=click.Choice(["unknown"]))
@options.project
@options.as_json
def command(thing: str, project_folder: Path, as_json: bool, verbose: bool) -> None:
    """List the texts that no code was found in, the most frequent first, each with an example, its place and the lines that would teach it."""
    from fleetstats.cli.asking import asked_fleet
    from fleetstats.cli.envelope import emit
    from fleetstats.vocabulary.hints import teaching

    fleet = asked_fleet(project_folder)
    if as_json:
        emit("list", {thing: teaching(fleet.unknown)}, inputs=fleet.fingerprint.inputs, parameters={"thing": thing}, seed=None)
        return
    click.echo(_text(teaching(fleet.unknown.head(LISTED)), len(fleet.unknown)))


def _text(listed: pd.DataFrame, total: int) -> str:
    """A block per text, and how to teach it."""
    if not total:
        return "Every text was understood."
    words = {name: listed[name].fillna("") for name in ("sheet", "near_phrase", "near_code")}
    blocks = [_block({str(name): value for name, value in row.items()}) for row in listed.assign(**words).to_dict("records")]
    head = f"{total:,} texts are not understood" + (f"; the {LISTED} commonest (--json lists all):" if total > LISTED else ":")
    foot = ("Write what a text means into words.toml beside fleetstats.toml, once per code, and import again. Where a phrase is near by spelling its code is "
            "named; where [words.CODE] stands, and where the text means something else, put one of those that fleetstats dictionary lists.")
    return "\n\n".join([head, *blocks, foot])


def _block(row: dict[str, Any]) -> str:
    where = ", ".join(str(part) for part in (row["file"], row["sheet"], f"row {row['row']}") if part)
    near = f"\n    nearest known: {row['near_phrase']} ({row['near_code']})" if row["near_code"] else ""
    teach = str(row["teach"]).replace("\n", "\n    ")
    times = "once" if row["count"] == 1 else f"{row['count']:,} times"
    return f"{row['text']}  ({times})\n    in: {row['example']}\n    {where}{near}\n    {teach}"
