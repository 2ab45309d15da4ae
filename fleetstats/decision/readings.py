"""What a case records of a check: a word, or a reading turned into pass or fail by the limits of limits.toml."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, Literal, get_args

from pydantic import Field

from fleetstats.documents import Document, read_toml, validate
from fleetstats.errors import InputRefused, Problem

CHECKS = tuple(f"C{number:02d}" for number in range(1, 22))
Outcome = Literal["pass", "fail", "done"]


class Reading(Document):
    """A check with its number. rated: what it should be, where the limit is relative. outcome: what the shop called it, if it did."""

    value: float | None = None
    unit: str | None = None
    rated: float | None = Field(None, gt=0)
    outcome: Outcome | None = None


def as_recorded(value: Any) -> Any:
    """A word or a table of a case file, checked before the choice between them, so that a fault is said in words. Raises ValueError."""
    if isinstance(value, dict):
        return Reading.model_validate(value)
    if isinstance(value, Reading) or value in get_args(Outcome):
        return value
    words = ", ".join(f'"{word}"' for word in get_args(Outcome))
    raise ValueError(f'neither an outcome ({words}) nor a reading such as {{ value = 12.4, unit = "V" }}')


class Limit(Document):
    """One check's limits, see limits.toml."""

    unit: str
    possible: tuple[float, float]
    source: str
    low: float | None = None
    high: float | None = None
    relative: float | None = None
    alternatives: list[str] = Field(default_factory=list)
    units: dict[str, tuple[float, float]] = Field(default_factory=dict)


@cache
def limits() -> dict[str, Limit]:
    """Limits by check code."""
    data = read_toml(Path(__file__).with_name("limits.toml"))
    return {check: validate(limit, Limit, file="limits.toml") for check, limit in data.items()}


def outcome_of(check: str, finding: Outcome | Reading, *, file: str) -> str:
    """"pass", "fail" or "done". Raises InputRefused, naming the case file and the field, for an unknown check, a reading that cannot
    be, a unit or rated value that is missing, or a reading that contradicts the word beside it."""
    field = f"findings.{check}"
    if check not in CHECKS:
        raise _refused(file, field, "unknown check", check, f"one of {CHECKS[0]} to {CHECKS[-1]}", "Use the code of the check sequence.")
    if isinstance(finding, str):
        return finding
    if finding.value is None:
        if finding.outcome is None:
            raise _refused(file, field, "neither a reading nor an outcome", "{}", 'e.g. "pass"', "Say what was found, or leave the check out.")
        return finding.outcome
    judged = _judged(check, finding, file, field)
    if finding.outcome in ("pass", "fail") and judged is not None and judged != finding.outcome:
        found = f"{finding.value:g} {finding.unit or ''} is a {judged}, outcome says {finding.outcome}"
        raise _refused(file, field, "reading and outcome contradict each other", found, "both the same", "Correct one of them.")
    if judged is None and finding.outcome is None:
        raise _refused(file, field, "no limit is known for this check", f"{finding.value:g}", 'outcome = "pass" or "fail"', "Add the outcome beside the value.")
    return judged or str(finding.outcome)


def _judged(check: str, finding: Reading, file: str, field: str) -> str | None:
    limit, value = limits().get(check), finding.value
    if limit is None or value is None:
        return None
    if finding.unit is None or finding.unit not in {limit.unit, *limit.units, *limit.alternatives}:
        wanted = ", ".join([limit.unit, *limit.units, *limit.alternatives])
        raise _refused(file, field, "unit of the reading missing or unknown", str(finding.unit), wanted, "State the unit of the reading.")
    factor, offset = limit.units.get(finding.unit, (1.0, 0.0))
    value = value * factor + offset
    low, high = limit.possible if finding.unit not in limit.alternatives else (0.0, 1e9)
    if not low <= value <= high:
        wanted = f"{low:g} to {high:g} {limit.unit}" if high < 1e9 else "0 or more"
        raise _refused(file, field, "an impossible reading", f"{finding.value:g} {finding.unit}", wanted, "Correct the number or its unit.")
    return _within(limit, value, finding.rated, file, field)


def _within(limit: Limit, value: float, rated: float | None, file: str, field: str) -> str:
    if limit.relative is not None:
        if rated is None:
            raise _refused(file, field, "no rated value", f"{value:g}", "rated = ...", "Give the rated value of the sheet; the limit is relative to it.")
        return "pass" if abs(value - rated) <= limit.relative * rated * (1 + 1e-9) else "fail"
    high_enough = limit.low is None or value >= limit.low - 1e-9
    return "pass" if high_enough and (limit.high is None or value <= limit.high + 1e-9) else "fail"


def _refused(file: str, field: str, what: str, found: str, wanted: str, remedy: str) -> InputRefused:
    return InputRefused(Problem(what=f"'{field}': {what}", found=found, wanted=wanted, file=file, remedy=f"{remedy} Nothing was changed."))
