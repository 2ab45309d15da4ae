"""Rates per vehicle-year: needless removals by shop and by size, and complaints about cooling whose cause lies outside the unit."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.diagnosis import CauseDraws
from fleetstats.errors import CannotAnswer, Problem
from fleetstats.histories import Histories
from fleetstats.life.lives import GroupRate, NeedlessRates, OutsideFaultRates
from fleetstats.life.model import size_class
from fleetstats.life.poisson import poisson_rate
from fleetstats.settings import Settings

NEEDLESS = "needless removals per vehicle-year"
OUTSIDE = "outside faults per vehicle-year"


def needless_rates(histories: Histories, causes: CauseDraws, shops: pd.DataFrame, settings: Settings) -> NeedlessRates:
    """Needless removals per vehicle-year from the draws of the cause.

    A shop's needless removals are held against the vehicle-years of all depots it serves (tables.SHOPS `serves`; where that is empty,
    the depots of the vehicles it was seen to work on), because each of those vehicles could have come to it: rates of shops that
    serve one depot add up. Raises CannotAnswer when the causes are not anchored or there is no exposure.
    """
    if not causes.anchored:
        remedy = "Bench-test at least 10 of the condemned units, drawn at random."
        raise CannotAnswer(Problem(what="needless removals cannot be told from failures: fewer than 10 bench verdicts", remedy=remedy))
    exposure, rng = _exposure(histories), np.random.default_rng(np.random.SeedSequence([causes.seed, 2]))
    size = _size_of(histories.tenures, causes)
    by_depot = exposure.groupby(exposure["depot"].fillna("unknown"))["years"].sum()
    served = _served(histories, shops)
    years = {shop: float(by_depot.reindex(sorted(depots)).fillna(0).sum()) for shop, depots in served.items()}

    def rate(name: str, own: np.ndarray, group_years: float) -> GroupRate:
        counts = causes.needless[:, own].sum(axis=1)
        estimate = poisson_rate(counts, group_years, settings.level, rng, NEEDLESS)
        return GroupRate(group=name, events=float(counts.mean()), exposure_years=group_years, rate=estimate)

    return NeedlessRates(
        overall=rate("all", np.ones(len(size), bool), float(exposure["years"].sum())),
        by_shop=tuple(rate(name, causes.shops == name, years[name]) for name in sorted(set(causes.shops)) if years.get(name, 0) > 0),
        by_size=tuple(rate(name, size == name, total) for name, total in _years_by_size(exposure).items()), cautions=causes.cautions,
    )


def outside_fault_rates(histories: Histories, settings: Settings) -> OutsideFaultRates:
    """Complaints about cooling that ended without a condemned unit, per vehicle-year, overall and by size.

    Pooled over ages and seasons. A visit that released a truly failed unit counts as well, so the rate is rather high.
    Raises CannotAnswer when there is no exposure.
    """
    exposure, events = _exposure(histories), histories.component_events
    complaints = events[events["cooling_complaint"].fillna(False).astype(bool)]
    size, rng = size_class(complaints["size_l"]), np.random.default_rng(0)

    def rate(name: str, count: int, years: float) -> GroupRate:
        estimate = poisson_rate(np.array([count]), years, settings.level, rng, OUTSIDE)
        return GroupRate(group=name, events=float(count), exposure_years=years, rate=estimate)

    return OutsideFaultRates(
        overall=rate("all", len(complaints), float(exposure["years"].sum())),
        by_size=tuple(rate(name, int((size == name).sum()), total) for name, total in _years_by_size(exposure).items()),
    )


def misread_share(needless: NeedlessRates, outside: OutsideFaultRates) -> float:
    """m: needless removals per outside fault, both per vehicle-year and pooled over the fleet.

    Raises CannotAnswer when there are none, or when m would exceed 1.
    """
    per_fault, faults = needless.overall.rate.estimate, outside.overall.rate.estimate
    remedy = "Record what was found at visits that did not end in an exchange."
    if not faults or per_fault is None:
        raise CannotAnswer(Problem(what="no complaint with a cause outside the unit is recorded", remedy=remedy))
    m = per_fault / faults
    if m > 1:
        raise CannotAnswer(Problem(what="more needless removals than outside faults are recorded", found=f"{m:.2f} per fault", remedy=remedy))
    return m


def _exposure(histories: Histories) -> pd.DataFrame:
    exposure = histories.exposure
    if not exposure["years"].sum() > 0:
        remedy = "Give the days on which vehicles were in service (vehicles: in_service, out_of_service)."
        raise CannotAnswer(Problem(what="no vehicle-years under observation are known", remedy=remedy))
    return exposure


def _years_by_size(exposure: pd.DataFrame) -> dict[str, float]:
    years = exposure.groupby(size_class(exposure["size_l"]))["years"].sum()
    return {str(name): float(total) for name, total in years.items() if total > 0}


def _size_of(tenures: pd.DataFrame, causes: CauseDraws) -> np.ndarray:
    """(n,) size class of every condemned tenure, in the order of the draws."""
    sizes = tenures.set_index("tenure_id")["size_l"].reindex(causes.tenure_ids)
    return size_class(sizes)


def _served(histories: Histories, shops: pd.DataFrame) -> dict[str, set[str]]:
    """Depots of every shop: as declared, else as seen in the work."""
    seen = pd.concat([histories.tenures[["shop", "depot"]], histories.component_events[["shop", "depot"]]]).dropna().drop_duplicates()
    served: dict[str, set[str]] = {str(shop): set(rows["depot"]) for shop, rows in seen.groupby("shop")}
    declared = shops[shops["serves"].notna()]
    for shop, text in zip(declared["shop"], declared["serves"], strict=True):
        served[str(shop)] = {name.strip() for name in str(text).split(";") if name.strip()}
    return served
