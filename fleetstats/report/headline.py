"""The headline figures of a report by name, and where a finished run keeps them."""

from __future__ import annotations

from typing import Any

from fleetstats.records import keep_figures, read_inputs
from fleetstats.report.changes import Figure, packed
from fleetstats.report.quarterly import Quarterly
from fleetstats.results import Estimate
from fleetstats.settings import Project


def headline(quarterly: Quarterly) -> tuple[Figure, ...]:
    """Every figure of the first screen and of the run's last words, in their order."""
    counts = [_count(name, quarterly.counts.get(name, 0)) for name in ("vehicles", "visits")]
    return (*counts, *_shares(quarterly), *_lives(quarterly), *_rates(quarterly), *_coming(quarterly), *_spend(quarterly), *_waiting(quarterly))


def made_with(quarterly: Quarterly) -> dict[str, Any]:
    """What decides the figures beside the records."""
    return {"as_of": str(quarterly.as_of), "level": quarterly.level, "seed": quarterly.seed, "version": quarterly.version}


def keep_headline(project: Project, quarterly: Quarterly) -> None:
    """Keep the figures in the store's journal, unless other records have been imported since they were made."""
    if quarterly.inputs is not None and read_inputs(project.store) == quarterly.inputs.inputs:
        keep_figures(project.store, packed(headline(quarterly), made_with(quarterly)))


def _shares(quarterly: Quarterly) -> list[Figure]:
    audit, senders = quarterly.audit, quarterly.senders
    found = []
    if audit is not None:
        share = audit.needless_share
        found += [_count("condemned units", audit.condemned), _count("condemned units with a bench verdict", audit.tested)]
        found.append(_estimate("needless share, shops that bench", "percent", share.corrected))
        found.append(_estimate("needless share, all shops", "percent", share.corrected_all_shops))
    if senders is not None:
        found += [_count("cores sent to the bench", senders.cores), _estimate("healthy share of the cores", "percent", senders.corrected)]
    return found


def _lives(quarterly: Quarterly) -> list[Figure]:
    lives = quarterly.lives
    if lives is None:
        return []
    found = []
    for origin in ("new", "reconditioned"):
        population = lives.population(origin, "corrected")
        found.append(_estimate(f"age by which one in ten {origin} units has failed", "years", population.b10_years if population else None))
    return found


def _rates(quarterly: Quarterly) -> list[Figure]:
    rates = quarterly.outside_rates
    return [] if rates is None else [_estimate("cooling complaints from outside the unit per vehicle and year", "rate", rates.overall.rate)]


def _coming(quarterly: Quarterly) -> list[Figure]:
    coming = quarterly.next_year
    if coming is None:
        return []
    numbers = {"true failures": coming.total_failures, "needless removals": coming.total_needless}
    found = [_estimate(f"{name}, next four quarters", "count", number) for name, number in numbers.items()]
    if coming.total_cost is not None:
        found.append(_estimate(f"cost of exchanges, next four quarters, {coming.price_basis}", coming.price_basis[:3], coming.total_cost))
    return found


def _spend(quarterly: Quarterly) -> list[Figure]:
    total = quarterly.spend.groupby("price_basis")["spend"].sum()
    return [Figure(name=f"spend on refrigerator visits, {basis}", form=str(basis)[:3], value=float(spend)) for basis, spend in total.items()]


def _waiting(quarterly: Quarterly) -> list[Figure]:
    return [_count("open visits", len(quarterly.open_visits)), _count("open visits with a closed gate", len(quarterly.off_hire))]


def _count(name: str, value: float) -> Figure:
    return Figure(name=name, form="count", value=float(value))


def _estimate(name: str, form: str, estimate: Estimate | None) -> Figure:
    if estimate is None:
        return Figure(name=name, form=form, value=None)
    return Figure(name=name, form=form, value=estimate.estimate, lower=estimate.lower, upper=estimate.upper)
