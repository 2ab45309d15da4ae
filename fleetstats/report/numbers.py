"""Headline numbers by name: definition, how they are made, and the rows they count."""

from __future__ import annotations

import pandas as pd

from fleetstats.diagnosis import RemovalAudit, audit_removals, draw_causes
from fleetstats.figures.words import percent, with_interval, years
from fleetstats.histories import Histories
from fleetstats.life import LifeEstimates, estimate_life
from fleetstats.records import Fleet
from fleetstats.report.prose import sensitivities

NUMBERS = ("share:needless", "life:new", "life:reconditioned")
"""Names that `story` understands beside vehicles, units and visits."""


def number_story(fleet: Fleet, histories: Histories, name: str) -> list[str]:
    """What a headline number means, how it was made, its inputs, and the visits behind it.

    name: one of NUMBERS. Raises CannotAnswer where the number cannot be given.
    """
    causes = draw_causes(histories, fleet.settings)
    if name == "share:needless":
        return _share(fleet, histories, audit_removals(histories, causes, fleet.bench_tests, fleet.settings))
    return _life(histories, estimate_life(histories, causes, fleet.settings), name.removeprefix("life:"))


def _share(fleet: Fleet, histories: Histories, audit: RemovalAudit) -> list[str]:
    share = audit.needless_share
    lines = [
        "share:needless is the share of condemned units that did not need replacing; one restarted by handling counts as healthy.",
        f"Now: {with_interval(share.corrected, percent)}, shops that bench, condemned by {fleet.settings.as_of}.",
        f"Made by: {share.method}.",
        f"Counts: {audit.condemned} condemned units, {audit.tested} with a definite bench verdict, {audit.no_fault} of those without a fault.",
        *([f"Without correction: {with_interval(share.tested_only, percent)} of the tested."] if share.tested_only else []),
        f"Bounds: {percent(share.bounds.lower)} to {percent(share.bounds.upper)}.",
    ]
    others = sensitivities(audit)
    lines += [*(["Under other assumptions:"] if others else []), *(f"  {row.assumption}: {with_interval(row.share, percent)}" for row in others)]
    condemned = histories.tenures[histories.tenures["ending"].eq("condemned")].sort_values(["ended", "vehicle_id"])
    return [*lines, "The condemned units (visit, vehicle, day, shop, bench verdict):", *_rows(condemned)]


def _rows(condemned: pd.DataFrame) -> list[str]:
    said = condemned[["ended_by", "vehicle_id", "ended", "shop", "bench_outcome"]].copy()
    said["ended"] = said["ended"].dt.strftime("%Y-%m-%d")
    said["bench_outcome"] = said["bench_outcome"].fillna("not tested")
    return ["  " + ", ".join("" if pd.isna(cell) else str(cell) for cell in row) for row in said.itertuples(index=False)]


def _life(histories: Histories, lives: LifeEstimates, origin: str) -> list[str]:
    tenures = histories.tenures[histories.tenures["origin"].eq(origin)]
    lines = [f"life:{origin} is the age by which one in ten {origin} cooling units has truly failed, averaged over the units in service."]
    for basis in ("corrected", "as_recorded"):
        population = lives.population(origin, basis)
        if population is not None:
            age = population.b10_years
            lines.append(f"{basis.replace('_', ' ')}: {with_interval(age, years)}, from {population.failures:.0f} failures; {age.method}.")
    endings = ", ".join(f"{count} {ending}" for ending, count in tenures["ending"].value_counts().sort_index().items())
    return [*lines, f"Stays of {origin} units: {len(tenures)} ({endings}).", *lives.refused]
