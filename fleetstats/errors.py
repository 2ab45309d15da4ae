"""One family of exceptions, and `Problem`: what is wrong, where, and what to do about it.

    FleetstatsError              exit 1   our own fault; please report
    |-- InputRefused             exit 3   a file, profile or table does not add up
    |-- CannotAnswer             exit 4   the data cannot carry the question
    |   `-- BeyondData                    an age or a date outside what was observed
    `-- StoreBusy                exit 5   another process holds the store
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from typing import TypeVar


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One thing that is wrong, said so that a person can mend it.

    what: the fault in a few words. found: the value met, as text (masked by the reader).
    wanted: what would have been right. remedy: what to do, a full sentence.
    file, sheet, row, column: the address; row is the line or spreadsheet row a person sees, from 1.
    field: the canonical column that was left empty for it (price_basis: amounts that lack one), None where nothing was.
    """

    what: str
    remedy: str
    found: str | None = None
    wanted: str | None = None
    file: str | None = None
    sheet: str | None = None
    row: int | None = None
    column: str | None = None
    field: str | None = None

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


MOST_TOLD = 20
"""Lines of a message."""


def _message(problems: tuple[Problem, ...]) -> str:
    first = {problem.file: problem for problem in reversed(problems)}
    leading = [problem for problem in problems if problem is first[problem.file]]
    others = [problem for problem in problems if problem is not first[problem.file]]
    lines = [str(problem) for problem in (*leading, *others)[:MOST_TOLD]]
    return "\n".join([*lines, *([f"And {len(problems) - MOST_TOLD} more."] if len(problems) > MOST_TOLD else [])])


class FleetstatsError(Exception):
    """Root of the family; `problems` holds every fault met. The message has the first of every file, then the others, a line each, MOST_TOLD at most."""

    exit_code = 1

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__(_message(self.problems) if self.problems else "unknown problem")

    def __reduce__(self) -> tuple[type[FleetstatsError], tuple[tuple[Problem, ...]]]:
        # a worker sends its refusal to the process that asked: with the problems, not with their text
        return type(self), (self.problems,)


class InputRefused(FleetstatsError):
    """A file, profile, case or table does not add up; nothing was changed."""

    exit_code = 3


Item = TypeVar("Item")
Done = TypeVar("Done")


def of_each(items: Iterable[Item], do: Callable[[Item], Done]) -> list[Done]:
    """What `do` gives for each item. Raises InputRefused with the problems of all items that it refuses, so that a person need not meet them one by one."""
    done, refused = list[Done](), list[Problem]()
    for item in items:
        try:
            done.append(do(item))
        except InputRefused as refusal:
            refused += refusal.problems
    if refused:
        raise InputRefused(refused)
    return done


class CannotAnswer(FleetstatsError):
    """The data cannot carry the question; the message says what would."""

    exit_code = 4


class BeyondData(CannotAnswer):
    """The question asks about ages or dates outside what was observed."""


class StoreBusy(FleetstatsError):
    """Another process holds the store."""

    exit_code = 5
