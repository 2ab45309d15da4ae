"""Lives as text."""

from __future__ import annotations

from fleetstats.cli.text import table
from fleetstats.errors import CannotAnswer, Problem
from fleetstats.figures.words import with_interval
from fleetstats.life import LifeEstimates, LifePopulation


def lives_text(lives: LifeEstimates) -> str:
    """Populations with B10, B50, shape and scale; then conditional ones, and what is not said. Raises CannotAnswer when nothing can be."""
    if not (lives.populations or lives.conditional or lives.failure_rate):
        why = lives.refused[0] if lives.refused else "no unit was followed"
        raise CannotAnswer(Problem(what=why.rstrip("."), remedy="Import visits, and vehicles with their first day in service."))
    parts = []
    if lives.populations:
        rows = [[p.origin, p.basis.replace("_", " "), f"{p.failures:.0f}", *_numbers(p)] for p in lives.populations]
        parts.append(table(["units", "counted", "failures", "B10 (years)", "B50 (years)", "shape", "scale (years)"], rows))
        parts += [f"Shape and scale belong to {text}." for text in dict.fromkeys(p.reference for p in lives.populations)]
    if lives.failure_rate is not None:
        parts.append(f"True failures per unit and year: {with_interval(lives.failure_rate, lambda value: f'{value:.3g}')}.")
    if lives.conditional:
        rows = [[p.origin, p.assumption, *_numbers(p)[:2]] for p in lives.conditional]
        parts.append(f"Under named assumptions, no estimates:\n{table(['units', 'assumption', 'B10 (years)', 'B50 (years)'], rows)}")
    return "\n\n".join([*parts, *lives.refused, *(text for p in lives.populations for text in p.cautions)])


def _numbers(population: LifePopulation) -> list[str]:
    return [*(with_interval(value, lambda v: f"{v:.1f}") for value in (population.b10_years, population.b50_years)),
            with_interval(population.shape, lambda v: f"{v:.2f}"), with_interval(population.scale_years, lambda v: f"{v:.1f}")]
