"""`fleetstats dictionary`: the declared columns of every table, and every code of the vocabulary."""

from __future__ import annotations

from pathlib import Path

import click

from fleetstats.cli import options


@options.command(
    "dictionary", short="print the columns and the codes", example="fleetstats dictionary",
    call="fleetstats.tables.dictionary.dictionary(fleetstats.tables.TABLES.values())",
    see_also=("template", "draft"),
)
@click.option("--output", type=options.FILE, default=None, metavar="FILE", help="Write the page there instead of printing it.")
@options.as_json
def command(output: Path | None, as_json: bool, verbose: bool) -> None:
    """Print the data dictionary as Markdown: every column with unit, meaning and allowed values, every key of a profile, and every
    code with its definition."""
    from fleetstats.cli.envelope import emit
    from fleetstats.sources.profile import HELPER_MEANINGS, profile_keys
    from fleetstats.tables import TABLES
    from fleetstats.tables.dictionary import dictionary, dictionary_markdown
    from fleetstats.vocabulary.listing import codes, codes_markdown

    helpers = "\n".join(f"| {name} | {meaning} |" for name, meaning in HELPER_MEANINGS.items())
    beside = ("## Columns of files that are read, not stored\n\nProfiles of visits and bench tests may name them.\n\n"
              f"| column | meaning |\n|---|---|\n{helpers}\n")
    keys = "\n".join(f"| {f'[{section}] ' if section else ''}{key} | {meaning} |" for section, key, meaning in profile_keys())
    beside += f"\n## Keys of a profile\n\nProfiles are TOML; `fleetstats draft` writes a first one.\n\n| key | meaning |\n|---|---|\n{keys}\n"
    page = f"{dictionary_markdown(TABLES.values())}\n{beside}\n{codes_markdown()}"
    if output is not None:
        output.write_text(page, encoding="utf-8")
    if as_json:
        emit("dictionary", {"columns": dictionary(TABLES.values()), "helpers": HELPER_MEANINGS, "codes": codes()}, inputs={}, parameters={}, seed=None)
    else:
        click.echo(page if output is None else f"Written: {output}")
