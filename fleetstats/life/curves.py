"""Survival curves for the report: as recorded, corrected and counted on the draws, corrected and fitted."""

from __future__ import annotations

from contextlib import suppress

import numpy as np
import pandas as pd

from fleetstats.diagnosis import CauseDraws
from fleetstats.errors import BeyondData, Problem
from fleetstats.histories import Histories
from fleetstats.life.bands import averaged_band, mix_of
from fleetstats.life.corrected import failed_draws, half_width, rubin
from fleetstats.life.estimates import in_service
from fleetstats.life.lives import LifeEstimates, SurvivalCurve
from fleetstats.life.nonparametric import FEWEST_AT_RISK, count_lives, limits, observed_until, start_age
from fleetstats.life.parametric import recorded_rows
from fleetstats.life.regression import LifeRows, life_rows
from fleetstats.settings import Settings

GRID_STEP_YEARS = 0.1


def survival_curve(histories: Histories, origin: str, settings: Settings, *, transformation: str = "log-log") -> SurvivalCurve:
    """Share still working by age as the records stand (Kaplan-Meier, every condemned unit failed), up to the age with 10 units at risk.

    origin: 'new' or 'reconditioned'. transformation: of the limits, 'plain', 'log' or 'log-log'.
    Where late entry leaves the first ages almost unobserved the curve is conditional on reaching `start_age_years`.
    Raises BeyondData when no age has 10 units at risk.
    """
    tenures = histories.tenures
    entry, exit, condemned = recorded_rows(tenures[tenures["origin"] == origin])
    start = start_age(entry, exit) if len(entry) else 0.0
    counted = count_lives(entry, exit, condemned, start)
    shown = counted.at_risk >= FEWEST_AT_RISK
    if not shown.any():
        raise BeyondData(Problem(what=f"fewer than 10 {origin} units were under observation at any removal", remedy="Show counts instead of a curve."))
    lower, upper = limits(counted.survival, counted.variance, settings.level, transformation)
    first = _at_risk(entry, exit, np.array([start + 1e-6]))[0]
    return SurvivalCurve(
        origin=origin, basis="as_recorded", kind="steps", age_years=_first(start, counted.ages[shown]), survival=_first(1.0, counted.survival[shown]),
        lower=_first(1.0, lower[shown]), upper=_first(1.0, upper[shown]), at_risk=_first(first, counted.at_risk[shown]),
        level=settings.level, method="Kaplan-Meier with late entry, every condemned unit counted as failed", transformation=transformation,
        start_age_years=start, cautions=("Counts needless removals as failures.",),
    )


def corrected_curve(histories: Histories, lives: LifeEstimates, origin: str, settings: Settings) -> SurvivalCurve:
    """The corrected life as fitted, averaged over the units in service, with its pointwise band, up to the age with 10 units at risk.

    Raises BeyondData where the corrected life is refused or too little was observed of this origin.
    """
    observed = 0.0 if lives.model is None else lives.model.observed_years[origin]
    if lives.model is None or observed <= 0:
        raise BeyondData(Problem(what=f"no corrected life of {origin} units", remedy="; ".join(lives.refused) or "Too few units were under observation."))
    ages = np.arange(GRID_STEP_YEARS, max(observed, GRID_STEP_YEARS) + 1e-9, GRID_STEP_YEARS)
    band = averaged_band(lives.model, *mix_of(in_service(histories.tenures), origin), settings.level, ages)
    survival, lower, upper = band.survival()
    entry, exit, _ = recorded_rows(histories.tenures[histories.tenures["origin"] == origin])
    return SurvivalCurve(
        origin=origin, basis="corrected", kind="fitted", age_years=_first(0.0, ages), survival=_first(1.0, survival), lower=_first(1.0, lower),
        upper=_first(1.0, upper), at_risk=_at_risk(entry, exit, _first(1e-6, ages)), level=settings.level,
        method="Weibull with covariates on draws of the cause, averaged over the units in service", transformation="log-log",
    )


def counted_curve(histories: Histories, causes: CauseDraws, origin: str, settings: Settings) -> SurvivalCurve:
    """exp(-Nelson-Aalen) on the draws of the cause: no Weibull in it, to hold beside the fitted curve; only where 10 units are at risk.

    Failures found at an inspection are put at a uniform age between the last good day and the finding, anew in every draw.
    Variance between plus within draws (Rubin 1987, from memory), limits on the log of the hazard.
    Raises BeyondData when the causes are not anchored or 10 units were never at risk.
    """
    rows = life_rows(histories.tenures, causes)
    chosen = (rows.reconditioned > 0) == (origin == "reconditioned")
    observed = observed_until(rows.entry[chosen], rows.exit[chosen]) if chosen.any() else 0.0
    failed = failed_draws(rows, causes)
    if not len(failed) or observed <= 0:
        raise BeyondData(Problem(what=f"no corrected curve of {origin} units", remedy="It needs 10 bench verdicts and 10 units under observation."))
    ages = np.arange(GRID_STEP_YEARS, observed + 1e-9, GRID_STEP_YEARS)
    hazard, error, degrees = _on_draws(rows, failed, chosen, ages, np.random.default_rng(np.random.SeedSequence([causes.seed, 3])))
    kept = (hazard > 0) & (_at_risk(rows.entry[chosen], rows.exit[chosen], ages) >= FEWEST_AT_RISK)
    spread = np.exp(half_width(error[kept] / hazard[kept], degrees[kept], settings.level))
    return SurvivalCurve(
        origin=origin, basis="corrected", kind="steps", age_years=ages[kept], survival=np.exp(-hazard[kept]), lower=np.exp(-hazard[kept] * spread),
        upper=np.exp(-hazard[kept] / spread), at_risk=_at_risk(rows.entry[chosen], rows.exit[chosen], ages[kept]), level=settings.level,
        method="Nelson-Aalen on draws of the cause, Rubin; only where 10 units are at risk", transformation="log-log",
    )


def _on_draws(
    rows: LifeRows, failed: np.ndarray, chosen: np.ndarray, ages: np.ndarray, rng: np.random.Generator,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cumulative hazard at `ages`, its standard error and degrees of freedom over the draws, (a,) each."""
    hazards, variances = np.zeros((len(failed), len(ages))), np.zeros((len(failed), len(ages)))
    for i, causes in enumerate(failed):
        uniform = rows.last_good + rng.random(len(rows.exit)) * (rows.exit - rows.last_good)
        exit = np.where(causes & rows.at_inspection, np.maximum(uniform, rows.entry + 1e-6), rows.exit)
        counted = count_lives(rows.entry[chosen], exit[chosen], causes[chosen])
        where = np.searchsorted(counted.ages, ages, side="right")
        hazards[i], variances[i] = (np.concatenate([[0.0], line])[where] for line in (counted.hazard, counted.hazard_variance))
    return rubin(hazards, variances)


def _at_risk(entry: np.ndarray, exit: np.ndarray, ages: np.ndarray) -> np.ndarray:
    return np.asarray(np.searchsorted(np.sort(entry), ages, side="left") - np.searchsorted(np.sort(exit), ages, side="left"))


def _first(value: float, rest: np.ndarray) -> np.ndarray:
    return np.concatenate([[value], rest])


def survival_curves(histories: Histories, causes: CauseDraws, lives: LifeEstimates, settings: Settings) -> tuple[SurvivalCurve, ...]:
    """Every curve that may be shown: per origin as recorded, corrected and fitted, corrected and counted; the latter two only where the life may be said."""
    made: list[SurvivalCurve] = []
    for origin in ("new", "reconditioned"):
        with suppress(BeyondData):
            made.append(survival_curve(histories, origin, settings))
        with suppress(BeyondData):
            made.append(corrected_curve(histories, lives, origin, settings))
        with suppress(BeyondData):
            if lives.population(origin, "corrected") is not None:
                made.append(counted_curve(histories, causes, origin, settings))
    return tuple(made)


def at_risk_table(curves: tuple[SurvivalCurve, ...], ages: np.ndarray) -> pd.DataFrame:
    """Units under observation just before each age, one row per curve: origin, basis, kind and one column per age (years, as text)."""
    rows = []
    for curve in curves:
        position = np.searchsorted(curve.age_years, ages, side="left")
        counts = [int(curve.at_risk[p]) if p < len(curve.at_risk) else 0 for p in position]
        rows.append({"origin": curve.origin, "basis": curve.basis, "kind": curve.kind, **{f"{a:g}": n for a, n in zip(ages, counts, strict=True)}})
    return pd.DataFrame(rows)
