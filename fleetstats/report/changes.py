"""What changed since the last import: every file, and every headline figure before and now."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import pandas as pd

from fleetstats.figures.words import amount, count
from fleetstats.records import InputChange, Journal, input_changes

NOT_BEFORE, NOT_NOW, MOVED = "could not be said before", "can no longer be said", "another interval"
UNSAID = "cannot say"
FORMS: dict[str, Callable[[float], str]] = {
    "count": count, "percent": lambda share: f"{100 * share:.1f}", "years": lambda years: f"{years:.1f}", "rate": lambda rate: f"{rate:.3f}",
}
UNITS = {"percent": " %", "years": " years"}


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A headline figure. value, lower, upper: the point and the ends of its interval, None where they are not known.

    form: how it is written: "count", "percent" (of a share), "years", "rate" (per vehicle and year) or an ISO currency code.
    """

    name: str
    form: str
    value: float | None
    lower: float | None = None
    upper: float | None = None


@dataclass(frozen=True, kw_only=True)
class FigureChange:
    """A headline figure before and now: numbers, and in words. difference is None where one of the two is not known."""

    name: str
    form: str
    before: float | None
    now: float | None
    difference: float | None
    says_before: str
    says_now: str
    says: str


@dataclass(frozen=True, kw_only=True)
class Changes:
    """What changed since the import that the last run before was made on.

    inputs: files, profiles and so on that changed. figures: every headline figure, changed or not. cautions: what else differs between the two runs.
    """

    inputs: tuple[InputChange, ...]
    figures: tuple[FigureChange, ...]
    cautions: tuple[str, ...]


def packed(figures: Sequence[Figure], made_with: dict[str, Any]) -> str:
    """Figures as JSON for the journal. made_with: what else decides them (date, level, seed, version)."""
    return json.dumps({"figures": [asdict(figure) for figure in figures], "made_with": made_with}, sort_keys=True)


def changes_since(journal: Journal, figures: Sequence[Figure], made_with: dict[str, Any]) -> Changes | None:
    """The changes from the last run on an earlier import to now; None for the first import, and where nothing changed."""
    earlier = journal.imports[journal.imports["number"] < journal.number]
    if earlier.empty:
        return None
    kept = earlier.dropna(subset="figures")
    since = int((earlier if kept.empty else kept)["number"].max())
    before: dict[str, Any] = {"figures": [], "made_with": made_with} if kept.empty else json.loads(kept.sort_values("number")["figures"].iloc[-1])
    told = _figures({figure["name"]: Figure(**figure) for figure in before["figures"]}, {figure.name: figure for figure in figures})
    inputs = input_changes(journal.since(since))
    if not inputs and not any(figure.says for figure in told):
        return None
    return Changes(inputs=inputs, figures=() if kept.empty else told, cautions=(*_without_figures(kept), *_made_otherwise(before["made_with"], made_with)))


def change_words(changes: Changes) -> list[str]:
    """A line for each input and each figure that changed."""
    inputs = [f"{change.name}: {change.change}{f'; {change.says}' if change.says else ''}" for change in changes.inputs]
    moved = [f"{figure.name}: {figure.says_before} before, {figure.says_now} now ({figure.says})" for figure in changes.figures if figure.says]
    same = len(changes.figures) - len(moved)
    return [*inputs, *moved, *([f"{same} of {len(changes.figures)} headline figures as before"] if same else []), *changes.cautions]


def _without_figures(kept: pd.DataFrame) -> list[str]:
    return ["No run was finished on an earlier import: the figures have nothing to be compared with."] if kept.empty else []


def _made_otherwise(before: dict[str, Any], now: dict[str, Any]) -> list[str]:
    """What decides the figures beside the records, where it differs."""
    differing = [f"{name.replace('_', ' ')} {before.get(name)} before, {now[name]} now" for name in sorted(now) if before.get(name) != now[name]]
    return [f"The figures were not made alike: {'; '.join(differing)}."] if differing else []


def _figures(before: dict[str, Figure], now: dict[str, Figure]) -> tuple[FigureChange, ...]:
    return tuple(_figure(name, before.get(name), now.get(name)) for name in (*now, *(name for name in before if name not in now)))


def _figure(name: str, before: Figure | None, now: Figure | None) -> FigureChange:
    form = (now or before or Figure(name=name, form="count", value=None)).form
    then, today = (None if figure is None else figure.value for figure in (before, now))
    difference = None if then is None or today is None else today - then
    return FigureChange(name=name, form=form, before=then, now=today, difference=difference, says_before=_said(before), says_now=_said(now),
                        says=_difference(before, now, difference, form))


def _difference(before: Figure | None, now: Figure | None, difference: float | None, form: str) -> str:
    """The difference in words; empty where there is none that would be seen."""
    if difference is None:
        then, today = _said(before), _said(now)
        return "" if then == today else NOT_BEFORE if then == UNSAID else NOT_NOW if today == UNSAID else MOVED
    if _written(abs(difference), form) == _written(0.0, form):
        return ""
    size = f"{100 * abs(difference):.1f} points" if form == "percent" else _written(abs(difference), form)
    return f"{size} {'more' if difference > 0 else 'less'}"


def _said(figure: Figure | None) -> str:
    if figure is None:
        return UNSAID
    ends = "" if figure.lower is None or figure.upper is None else f"{_bare(figure.lower, figure.form)} to {_bare(figure.upper, figure.form)}"
    if figure.value is None:
        return f"{ends}{UNITS.get(figure.form, '')}" if ends else UNSAID
    return _written(figure.value, figure.form) + (f" ({ends})" if ends else "")


def _written(value: float, form: str) -> str:
    currency = "" if form in FORMS else f"{form} "
    return f"{currency}{_bare(value, form)}{UNITS.get(form, '')}"


def _bare(value: float, form: str) -> str:
    return FORMS.get(form, amount)(value)
