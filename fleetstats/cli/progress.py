"""Progress on standard error: a line that moves, on a terminal only and after one second; plain lines with --verbose."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

Told = Callable[[str, int, int], None]
PATIENCE_SECONDS = 1.0


@contextmanager
def progress(verbose: bool) -> Iterator[Told]:
    """Gives a function to be told what is done now, how many parts are done, and how many there are."""
    if verbose:
        yield lambda what, done, total: click.echo(f"{what} ({done} of {total})", err=True)
    elif sys.stderr.isatty():
        yield from _on_terminal()
    else:
        yield lambda what, done, total: None


def _on_terminal() -> Iterator[Told]:
    from rich.console import Console
    from rich.progress import Progress

    started = time.monotonic()
    with Progress(console=Console(stderr=True), transient=True) as bar:
        bar.stop()
        task = bar.add_task("", total=None, visible=False)

        def told(what: str, done: int, total: int) -> None:
            if time.monotonic() - started > PATIENCE_SECONDS:
                bar.start()
                bar.update(task, description=what, completed=done, total=total, visible=True)

        yield told
