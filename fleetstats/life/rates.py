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
from fleetstats.results import Estimate
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
    size, inside = _size_of(histories.tenures, causes), _exposed(histories, causes)
    by_depot = exposure.groupby(exposure["depot"].fillna("unknown"))["years"].sum()
    served = _served(histories, shops)
    years = {shop: float(by_depot.reindex(sorted(depots)).fillna(0).sum()) for shop, depots in served.items()}

    def rate(name: str, own: np.ndarray, group_years: float) -> GroupRate:
        counts = causes.needless[:, own & inside].sum(axis=1)
        estimate = poisson_rate(counts, group_years, settings.level, rng, NEEDLESS)
        return GroupRate(group=name, events=float(counts.mean()), exposure_years=group_years, rate=estimate)

    return NeedlessRates(
        overall=rate("all", np.ones(len(size), bool), float(exposure["years"].sum())),
        by_shop=tuple(rate(name, causes.shops == name, years[name]) for name in sorted(set(causes.shops)) if years.get(name, 0) > 0),
        by_size=tuple(rate(name, size == name, total) for name, total in _years_by_size(exposure).items()), cautions=causes.cautions,
    )


def outside_fault_rates(histories: Histories, causes: CauseDraws, settings: Settings) -> OutsideFaultRates:
    """Faults outside the unit that showed as a complaint about cooling, per vehicle-year, overall and by size.

    Counted are complaints released without a condemned unit and, where the causes are anchored, the needless removals of each draw: a
    sound unit was condemned because something else was at fault. `misread` is the share of them that cost a sound unit, so it cannot
    pass 1. Pooled over ages and seasons. A visit that released a truly failed unit counts as well, so the rate is rather high.
    Raises CannotAnswer when there is no exposure.
    """
    exposure, events = _exposure(histories), histories.component_events
    complaints = size_class(events.loc[events["cooling_complaint"].fillna(False).astype(bool), "size_l"])
    condemned, rng = _size_of(histories.tenures, causes), np.random.default_rng(np.random.SeedSequence([causes.seed, 3]))
    inside = _exposed(histories, causes)

    def needless(own: np.ndarray) -> np.ndarray:
        return causes.needless[:, own & inside].sum(axis=1) if causes.anchored else np.zeros(1, dtype=int)

    def rate(name: str, released: int, own: np.ndarray, years: float) -> GroupRate:
        counts = released + needless(own)
        return GroupRate(group=name, events=float(counts.mean()), exposure_years=years, rate=poisson_rate(counts, years, settings.level, rng, OUTSIDE))

    every = np.ones(len(condemned), bool)
    return OutsideFaultRates(
        overall=rate("all", len(complaints), every, float(exposure["years"].sum())),
        by_size=tuple(rate(name, int((complaints == name).sum()), condemned == name, total) for name, total in _years_by_size(exposure).items()),
        misread=_misread(needless(every), len(complaints), settings.level, rng) if causes.anchored else None,
    )


def _misread(needless: np.ndarray, released: int, level: float, rng: np.random.Generator) -> Estimate:
    """Needless removals over needless removals and released complaints: Beta (Jeffreys) over the draws of the cause."""
    draws = rng.beta(np.repeat(needless, 50) + 0.5, released + 0.5)
    low, high = np.quantile(draws, [(1 - level) / 2, (1 + level) / 2])
    point = float(needless.mean() / max(needless.mean() + released, 1.0))
    method = "needless removals over faults outside the unit, binomial with Jeffreys' prior over the draws of the cause"
    return Estimate(estimate=point, lower=float(low), upper=float(high), level=level, method=method, unit="share")


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


def _exposed(histories: Histories, causes: CauseDraws) -> np.ndarray:
    """(n,) True where a condemned tenure ended within the vehicle-years under observation; the others have no exposure to be held against."""
    windows = histories.exposure.groupby("vehicle_id").agg(first=("from", "min"), last=("to", "max"))
    ended = histories.tenures.set_index("tenure_id").loc[causes.tenure_ids, ["vehicle_id", "ended"]].join(windows, on="vehicle_id")
    return ((ended["ended"] >= ended["first"]) & (ended["ended"] <= ended["last"])).to_numpy(bool)


def _served(histories: Histories, shops: pd.DataFrame) -> dict[str, set[str]]:
    """Depots of every shop: as declared, else as seen in the work."""
    seen = pd.concat([histories.tenures[["shop", "depot"]], histories.component_events[["shop", "depot"]]]).dropna().drop_duplicates()
    served: dict[str, set[str]] = {str(shop): set(rows["depot"]) for shop, rows in seen.groupby("shop")}
    declared = shops[shops["serves"].notna()]
    for shop, text in zip(declared["shop"], declared["serves"], strict=True):
        served[str(shop)] = {name.strip() for name in str(text).split(";") if name.strip()}
    return served
