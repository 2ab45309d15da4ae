"""One family of exceptions, and `Problem`: what is wrong, where, and what to do about it.

    FleetstatsError              exit 1   our own fault; please report
    |-- InputRefused             exit 3   a file, profile or table does not add up
    |-- CannotAnswer             exit 4   the data cannot carry the question
    |   `-- BeyondData                    an age or a date outside what was observed
    `-- StoreBusy                exit 5   another process holds the store
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One thing that is wrong, said so that a person can mend it.

    what: the fault in a few words. found: the value met, as text (masked by the reader).
    wanted: what would have been right. remedy: what to do, a full sentence.
    file, sheet, row, column: the address; row is the line or spreadsheet row a person sees, from 1.
    """

    what: str
    remedy: str
    found: str | None = None
    wanted: str | None = None
    file: str | None = None
    sheet: str | None = None
    row: int | None = None
    column: str | None = None

    @property
    def place(self) -> str:
        """The address in words, e.g. `north.csv, row 118, column 'Date in'`; empty when there is none."""
        parts = [self.file, f"sheet '{self.sheet}'" if self.sheet else None]
        parts += [f"row {self.row}" if self.row is not None else None]
        parts += [f"column '{self.column}'" if self.column else None]
        return ", ".join(part for part in parts if part)

    def __str__(self) -> str:
        head = f"{self.place}: {self.what}" if self.place else self.what
        if self.found is not None:
            head += f"; found '{self.found}'"
        if self.wanted is not None:
            head += f", wanted {self.wanted}"
        return f"{head.rstrip('.')}. {self.remedy}"

    def to_dict(self) -> dict[str, str | int | None]:
        """The fields by name, for JSON."""
        return asdict(self)


class FleetstatsError(Exception):
    """Root of the family; `problems` holds every fault met, the first one makes the message."""

    exit_code = 1

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems = (problems,) if isinstance(problems, Problem) else tuple(problems)
        more = len(self.problems) - 1
        tail = f" ({more} more of this kind.)" if more > 0 else ""
        super().__init__(f"{self.problems[0]}{tail}" if self.problems else "unknown problem")

    def __reduce__(self) -> tuple[type[FleetstatsError], tuple[tuple[Problem, ...]]]:
        # a worker sends its refusal to the process that asked: with the problems, not with their text
        return type(self), (self.problems,)


class InputRefused(FleetstatsError):
    """A file, profile, case or table does not add up; nothing was changed."""

    exit_code = 3


class CannotAnswer(FleetstatsError):
    """The data cannot carry the question; the message says what would."""

    exit_code = 4


class BeyondData(CannotAnswer):
    """The question asks about ages or dates outside what was observed."""


class StoreBusy(FleetstatsError):
    """Another process holds the store."""

    exit_code = 5
