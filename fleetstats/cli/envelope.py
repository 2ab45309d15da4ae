"""What `--json` prints: one object, the same around every command's data."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import click

from fleetstats import __version__


def emit(name: str, data: Any, *, inputs: dict[str, str], parameters: dict[str, Any], seed: int | None, warnings: Iterable[str] = ()) -> None:
    """Print the envelope of command `name` on standard output.

    data: what fleetstats.results.plain can turn into JSON. inputs: file name -> sha256. parameters: options that were in force.
    """
    from fleetstats.results import SCHEMA_VERSION, plain

    envelope = {
        "schema": f"fleetstats.{name}/{SCHEMA_VERSION}",
        "version": __version__,
        "inputs": [{"name": file, "sha256": digest} for file, digest in sorted(inputs.items())],
        "parameters": plain(parameters),
        "seed": seed,
        "warnings": list(warnings),
        "data": plain(data),
    }
    click.echo(json.dumps(envelope, sort_keys=True, ensure_ascii=False, allow_nan=False, indent=1))
