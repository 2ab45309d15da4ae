"""What may be said of a life: points, intervals and '> t', by fixed rules."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from fleetstats.errors import CannotAnswer
from fleetstats.life.bands import Band, averaged_band
from fleetstats.life.corrected import half_width, rubin
from fleetstats.life.lives import LifePopulation
from fleetstats.life.model import FailureModel
from fleetstats.life.nonparametric import observed_until
from fleetstats.life.parametric import WeibullFit, recorded_rows, recorded_weibull
from fleetstats.results import Estimate

WIDEST = 4.0
"""No point where the ends of an interval differ by more than this factor."""

FEWEST_FOR_EARLY_POINT = 30
"""Below this many failures the point of B10 of reconditioned units is erratic: interval only."""

FITTED = "Weibull with covariates on draws of the cause, band of the averaged curve inverted"
RECORDED = "Weibull, every condemned unit counted as failed, band inverted"


def age_estimate(ends: tuple[float | None, float | None, float | None], observed: float, level: float, method: str, *, point: bool = True) -> Estimate:
    """An age with its interval, or less where less may be said.

    ends: point, lower, upper in years, None: beyond reach. observed: the largest age with 10 units at risk.
    No point where it lies beyond `observed`, where the ends differ by more than a factor 4, or `point` is False;
    only '> observed' (upper None) where even the lower end lies beyond, and nothing where 10 units never were at risk (`observed` 0).
    """
    middle, lower, upper = ends
    if lower is None or lower > observed:
        return Estimate(estimate=None, lower=observed or None, upper=None, level=level, method=f"{method}; beyond the ages observed", unit="years")
    wide = upper is None or upper > WIDEST * lower
    shown = middle if point and not wide and middle is not None and middle <= observed else None
    return Estimate(estimate=shown, lower=lower, upper=upper, level=level, method=method, unit="years")


def corrected_population(model: FailureModel, mix: tuple[pd.DataFrame, np.ndarray], origin: str, failures: float, level: float) -> LifePopulation:
    """The corrected life of one origin; mix: units in service (rows, shares) with this origin set."""
    band = averaged_band(model, *mix, level)
    observed, few = model.observed_years[origin], _too_few_for_early_point(origin, failures)
    shape, scale = _shape_and_scale(model, origin, level)
    return LifePopulation(
        origin=origin, basis="corrected", failures=failures, reference=f"{origin} units, {model.covariates.reference}", shape=shape, scale_years=scale,
        b10_years=age_estimate(band.quantile(0.1), observed, level, FITTED, point=not few), b50_years=age_estimate(band.quantile(0.5), observed, level, FITTED),
        cautions=_cautions(model, origin, failures, band),
    )


def _shape_and_scale(model: FailureModel, origin: str, level: float) -> tuple[Estimate, Estimate]:
    """Of the reference group, combined over the draws of the cause."""
    p, r = len(model.covariates.names), float(origin == "reconditioned")
    rows = np.zeros((2, len(model.point)))
    rows[0, p], rows[0, p + 1] = 1.0, r
    rows[1, 0], rows[1, 1] = 1.0, r
    logs, error, degrees = rubin(model.draw_points @ rows.T, np.einsum("ij,mjk,ik->mi", rows, model.draw_covariances, rows))
    return _from_logs(logs, half_width(error, degrees, level), level, "Weibull with covariates on draws of the cause, log scale, t")


def _from_logs(logs: np.ndarray, width: np.ndarray, level: float, method: str) -> tuple[Estimate, Estimate]:
    """Shape and scale from their logs and half widths, (2,) each; no point of a scale whose ends differ by more than a factor 4."""
    (shape, low_shape, high_shape), (scale, low_scale, high_scale) = np.exp([logs, logs - width, logs + width]).T.tolist()
    return (
        Estimate(estimate=shape, lower=low_shape, upper=high_shape, level=level, method=method, unit=""),
        Estimate(estimate=scale if high_scale <= WIDEST * low_scale else None, lower=low_scale, upper=high_scale, level=level, method=method, unit="years"),
    )


def _too_few_for_early_point(origin: str, failures: float) -> bool:
    return origin == "reconditioned" and failures < FEWEST_FOR_EARLY_POINT


def _cautions(model: FailureModel, origin: str, failures: float, band: Band) -> tuple[str, ...]:
    notes = []
    pooled = model.covariance[len(model.covariates.names) + 1, len(model.covariates.names) + 1] == 0
    if pooled:
        notes.append("New and reconditioned units share one shape: one of them has fewer than 10 expected failures.")
    if _too_few_for_early_point(origin, failures):
        notes.append(f"About {failures:.0f} true failures: B10 is given as an interval only.")
    upper = band.quantile(0.5)[2]
    observed = model.observed_years[origin]
    if upper is None or upper > observed:
        notes.append(f"Fewer than 10 units were under observation beyond age {observed:.1f} years; what lies beyond rests on the Weibull form.")
    return tuple(notes)


def recorded_populations(tenures: pd.DataFrame, level: float) -> tuple[list[LifePopulation], list[str]]:
    """Lives as the records stand, by origin, and what is refused."""
    made, refused = [], []
    for origin in ("new", "reconditioned"):
        entry, exit, condemned = recorded_rows(tenures[tenures["origin"] == origin])
        try:
            fit = recorded_weibull(entry, exit, condemned)
        except CannotAnswer as error:
            refused.append(f"Life of {origin} units as recorded: {error.problems[0]}")
            continue
        made.append(recorded_population(fit, origin, int(condemned.sum()), observed_until(entry, exit), level))
    return made, refused


def recorded_population(fit: WeibullFit, origin: str, condemned: int, observed: float, level: float) -> LifePopulation:
    """A single Weibull as a population."""
    def ages(share: float, *, point: bool = True) -> Estimate:
        return age_estimate(_inverted(fit, share, level), observed, level, RECORDED, point=point)

    width = half_width(np.sqrt(np.diag(fit.log_covariance)), np.array([1e6, 1e6]), level)
    shape, scale = _from_logs(np.log([fit.shape, fit.scale]), width, level, "Weibull, log scale, normal")
    return LifePopulation(
        origin=origin, basis="as_recorded", failures=float(condemned), reference=f"all {origin} units", shape=shape, scale_years=scale,
        b10_years=ages(0.1, point=not _too_few_for_early_point(origin, condemned)), b50_years=ages(0.5),
        cautions=("Counts needless removals as failures; shown beside the corrected life only.",),
    )


def _inverted(fit: WeibullFit, share: float, level: float) -> tuple[float | None, float | None, float | None]:
    """Quantile of a Weibull and where the band of its log cumulative hazard reaches the share."""
    ages = np.geomspace(fit.scale / 1e3, fit.scale * 20, 400)
    point = fit.shape * np.log(ages / fit.scale)
    slope = np.stack([point, np.full(len(ages), -fit.shape)])
    width = half_width(np.sqrt(np.einsum("ia,ij,ja->a", slope, fit.log_covariance, slope)), np.array(1e6), level)
    return Band(ages=ages, point=point, lower=point - width, upper=point + width).quantile(share)


def without_interval(population: LifePopulation, assumption: str) -> LifePopulation:
    """A conditional result: points only, named by its 'if'."""
    def bare(estimate: Estimate) -> Estimate:
        return Estimate(estimate=estimate.estimate, lower=None, upper=None, level=estimate.level, method=f"{estimate.method}; {assumption}", unit=estimate.unit)

    return replace(population, assumption=assumption, shape=bare(population.shape), scale_years=bare(population.scale_years),
                   b10_years=bare(population.b10_years), b50_years=bare(population.b50_years))
