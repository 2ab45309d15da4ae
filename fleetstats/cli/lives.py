"""Lives as text."""

from __future__ import annotations

from fleetstats.cli.text import table
from fleetstats.errors import CannotAnswer, Problem
from fleetstats.figures.words import with_interval
from fleetstats.life import LifeEstimates, LifePopulation
from fleetstats.report.prose import population_cautions


def lives_text(lives: LifeEstimates) -> str:
    """Populations with B10, B50, shape and scale; then conditional ones, and what is not said. Raises CannotAnswer when nothing can be."""
    if not (lives.populations or lives.conditional or lives.failure_rate or lives.removal_rate):
        why = lives.refused[0] if lives.refused else "no unit was followed"
        raise CannotAnswer(Problem(what=why.rstrip("."), remedy="Import visits, and vehicles with their first day in service."))
    parts = []
    if lives.populations:
        rows = [[p.origin, p.basis.replace("_", " "), f"{p.failures:.0f}", *_numbers(p)] for p in lives.populations]
        parts.append(table(["units", "counted", "failures", "one in ten by (B10, years)", "one in two by (B50, years)", "shape", "scale (years)"], rows))
        belong = dict.fromkeys(p.reference for p in lives.populations)
        parts.append(f"Shape and scale belong to: {'; '.join(belong)}.")
    if lives.failure_rate is not None:
        parts.append(f"True failures per unit and year: {with_interval(lives.failure_rate, lambda value: f'{value:.3g}')}.")
    if lives.removal_rate is not None:
        parts.append(f"Condemned units, failed or not, per unit and year: {with_interval(lives.removal_rate, lambda value: f'{value:.3g}')}.")
    if lives.conditional:
        rows = [[p.origin, p.assumption, *_numbers(p)[:2]] for p in lives.conditional]
        parts.append(f"Under named assumptions, no estimates:\n{table(['units', 'assumption', 'B10 (years)', 'B50 (years)'], rows)}")
    notes = dict.fromkeys([*lives.refused, *(f"{who}: {text}" for who, text in population_cautions(lives)), *lives.cautions])
    return "\n\n".join([*parts, "\n".join(f"- {text}" for text in notes)]).rstrip()


def _numbers(population: LifePopulation) -> list[str]:
    return [*(with_interval(value, lambda v: f"{v:.1f}") for value in (population.b10_years, population.b50_years)),
            with_interval(population.shape, lambda v: f"{v:.2f}"), with_interval(population.scale_years, lambda v: f"{v:.1f}")]
