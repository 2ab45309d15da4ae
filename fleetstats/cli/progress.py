"""Progress on standard error: a line that moves, on a terminal only and after one second; plain lines with --verbose."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

Told = Callable[..., None]
"""Told what is done now, and if known how many parts are done and how many there are."""

PATIENCE_SECONDS = 1.0


@contextmanager
def progress(verbose: bool) -> Iterator[Told]:
    """Gives the function that is told."""
    if verbose:
        yield lambda what, done=0, total=0: click.echo(f"{what} ({done} of {total})" if total else what, err=True)
    elif sys.stderr.isatty():
        yield from _on_terminal()
    else:
        yield lambda what, done=0, total=0: None


def _on_terminal() -> Iterator[Told]:
    from rich.console import Console
    from rich.progress import Progress

    started = time.monotonic()
    with Progress(console=Console(stderr=True), transient=True) as bar:
        bar.stop()
        task = bar.add_task("", total=None, visible=False)

        def told(what: str, done: int = 0, total: int = 0) -> None:
            if time.monotonic() - started > PATIENCE_SECONDS:
                bar.start()
                bar.update(task, description=what, completed=done, total=total or None, visible=True)

        yield told
