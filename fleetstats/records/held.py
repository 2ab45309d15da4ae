"""One import at a time: a lock on a file beside the store, in which its holder says who it is."""

from __future__ import annotations

import datetime as dt
import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fleetstats.errors import Problem, StoreBusy

LOCK_FILE = ".import.lock"
WAIT_SECONDS = 10.0
_BEYOND = 1 << 20
"""Byte that is locked: beyond what is written, so that others can read who holds the file on every system."""


@contextmanager
def only_importer(folder: Path) -> Iterator[bool]:
    """Keeps every other import out of a project folder; gives whether it had to be waited for.

    The system lets go of the lock when its holder ends, however it ends: what a dead process left in the file is written over.
    Raises StoreBusy, naming the holder, after WAIT_SECONDS.
    """
    handle = os.open(folder / LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        waited = _wait(handle, folder)
        _say(handle, json.dumps({"pid": os.getpid(), "command": _command(), "since": f"{dt.datetime.now(dt.UTC):%Y-%m-%dT%H:%M:%SZ}"}))
        try:
            yield waited
        finally:
            _say(handle, "")
    finally:
        os.close(handle)


def holder(folder: Path) -> str | None:
    """Who imports into the folder now, in words; None where nobody does."""
    path = folder / LOCK_FILE
    if not path.is_file():
        return None
    handle = os.open(path, os.O_RDWR)
    try:
        return None if _taken(handle) else _told(path)
    finally:
        os.close(handle)


def busy(folder: Path, file: str, seconds: float) -> Problem:
    """That the store is in use, and by whom where that is known."""
    who = holder(folder)
    unknown = "Close the other fleetstats command, notebook or database viewer that has it open, and try again."
    remedy = "Wait until it has ended and try again." if who else unknown
    return Problem(what=f"another process has held the store for {seconds:g} seconds", found=who, file=file, remedy=remedy)


def _wait(handle: int, folder: Path) -> bool:
    until = time.monotonic() + WAIT_SECONDS
    waited = False
    while not _taken(handle):
        if time.monotonic() > until:
            raise StoreBusy(busy(folder, LOCK_FILE, WAIT_SECONDS))
        waited = True
        time.sleep(0.05)
    return waited


def _told(path: Path) -> str:
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        return f"process {said['pid']}, {said['command']}, since {said['since']}"
    except (ValueError, KeyError, TypeError):
        return "an import that has just begun or ended"


def _command() -> str:
    """The command as typed, without the folder of the program."""
    program = Path(sys.argv[0]).name
    return " ".join(["python" if program in ("", "-c") else program, *sys.argv[1:]])[:200]


def _say(handle: int, text: str) -> None:
    os.lseek(handle, 0, os.SEEK_SET)
    os.ftruncate(handle, 0)
    os.write(handle, text.encode())


def _taken(handle: int) -> bool:
    """Take the lock without waiting; False where another holds it. Closing the handle lets go of it."""
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(handle, _BEYOND, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
