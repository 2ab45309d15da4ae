"""A full disk told as what it is."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager

import duckdb

from fleetstats.errors import InputRefused, Problem

FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
SAID = ("no space left", "disk quota", "file too large", "out of disk", "could not write")
"""How the database words it."""


@contextmanager
def full_disk_told() -> Iterator[None]:
    """Turns a write that found no room, in a file or in the database, into InputRefused; other faults pass."""
    try:
        yield
    except OSError as error:
        if error.errno not in FULL:
            raise
        raise InputRefused(_full()) from error
    except duckdb.Error as error:
        if not any(words in str(error).lower() for words in SAID):
            raise
        raise InputRefused(_full()) from error


def _full() -> Problem:
    remedy = "Free some space, about three times the size of raw/, and import again; the records stand as they were, and files already read are kept."
    return Problem(what="there is no room left on the disk, or a limit on the size of files was reached", remedy=remedy)
