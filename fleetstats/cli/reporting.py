"""The last words of `run` and `report`: lines of answers and where the report lies."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

import click

from fleetstats.cli.envelope import emit
from fleetstats.cli.text import pairs
from fleetstats.report import Quarterly, change_words, summary_lines


def tell(name: str, quarterly: Quarterly, paths: Iterable[Path], *, as_json: bool) -> None:
    """Print the answers, or the envelope with them and the whole result."""
    shown = [_short(path) for path in paths]
    if as_json:
        inputs = quarterly.inputs.inputs if quarterly.inputs is not None else {}
        data = {"answers": dict(summary_lines(quarterly)), "files": shown, "report": quarterly}
        emit(name, data, inputs=inputs, parameters={"level": quarterly.level}, seed=quarterly.seed, warnings=quarterly.cautions)
        return
    click.echo(pairs(summary_lines(quarterly)))
    if quarterly.changes is not None:
        click.echo("\nWhat changed since the last import:\n" + "\n".join(f"  {line}" for line in change_words(quarterly.changes)))
    click.echo(f"\nReport: {shown[0]}")


def _short(path: Path) -> str:
    """The path as seen from here, where that is shorter."""
    try:
        return min(str(path), os.path.relpath(path), key=len)
    except ValueError:  # another drive
        return str(path)
