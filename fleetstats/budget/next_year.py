"""The next four quarters: units that will truly fail, units that will be removed, and the money for them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from fleetstats.budget.counts import Expected, Floats, first_ends, quarter_lines, quarters, second_ends
from fleetstats.budget.in_service import fitted_share_reconditioned, season_draws, share_of_month, units_in_service
from fleetstats.decision import Prices, group_rate, rate_draws
from fleetstats.diagnosis import CauseDraws
from fleetstats.errors import CannotAnswer, Problem
from fleetstats.histories import Histories
from fleetstats.life import FailureModel, LifeEstimates, NeedlessRates
from fleetstats.results import Estimate, Result
from fleetstats.settings import Settings

METHOD = "units in service at their ages, replacements included; parameters drawn, counts Poisson"


@dataclass(frozen=True, kw_only=True)
class NextYear(Result):
    """What to expect in the four quarters after as_of; every estimate is a count or money with its interval.

    quarters: their names, "2026-Q1" ... in order. failures, needless, removals: expected counts per quarter (true failures;
    healthy units that would be condemned; both), same order. total_failures, total_needless, total_removals: over the year.
    cost: per quarter, and total_cost: money of the removals; None without prices. price_basis: e.g. "USD 2025-12 net", or "".
    units: number of units in service that it starts from. Intervals hold parameter and chance together.
    """

    quarters: tuple[str, ...]
    failures: tuple[Estimate, ...]
    needless: tuple[Estimate, ...]
    removals: tuple[Estimate, ...]
    total_failures: Estimate
    total_needless: Estimate
    total_removals: Estimate
    cost: tuple[Estimate, ...] | None
    total_cost: Estimate | None
    price_basis: str
    units: int

    def table(self) -> pd.DataFrame:
        """One row per quarter (and "year") and quantity: quarter, quantity, estimate, lower, upper, unit."""
        lines = [("failures", self.failures, self.total_failures), ("needless", self.needless, self.total_needless)]
        lines.append(("removals", self.removals, self.total_removals))
        rows = [_row(quarter, name, value) for name, values, total in lines for quarter, value in zip((*self.quarters, "year"), (*values, total), strict=True)]
        if self.cost is not None and self.total_cost is not None:
            rows += [_row(quarter, "cost", value) for quarter, value in zip((*self.quarters, "year"), (*self.cost, self.total_cost), strict=True)]
        return pd.DataFrame(rows)


def _row(quarter: str, quantity: str, value: Estimate) -> dict[str, object]:
    return {"quarter": quarter, "quantity": quantity, "estimate": value.estimate, "lower": value.lower, "upper": value.upper, "unit": value.unit}


@dataclass(frozen=True, kw_only=True)
class _Coming:
    """The twelve months: their first days and the day after, the kind that will be fitted, seasons (n, months), parameters (n, p)."""

    starts: pd.DatetimeIndex
    reconditioned: float
    season: Floats = field(repr=False)
    parameters: Floats = field(repr=False)


def next_year(
    histories: Histories, causes: CauseDraws, lives: LifeEstimates | None, needless: NeedlessRates | None, prices: Prices | None, settings: Settings, *,
    vehicles: pd.DataFrame | None = None, seed: int | None = None, n_draws: int = 500,
) -> NextYear:
    """True failures and removals of the four calendar quarters after that of as_of, from the units in service and their ages.

    vehicles: canonical table, whose planned exits are respected (None: every vehicle is taken to stay). needless: the shops as they are.
    prices: in constant money of the report; None: counts only. Intervals: parameters drawn, then Poisson counts.
    Raises CannotAnswer without a corrected life, needless rates or units in service.
    """
    if lives is None or lives.model is None or needless is None or not causes.anchored:
        remedy = "Bench-test condemned units, drawn at random; about 10 true failures carry a life."
        raise CannotAnswer(Problem(what="next year's failures need a corrected life and needless rates, which these records do not carry", remedy=remedy))
    as_of = pd.Timestamp(settings.as_of)
    starts = pd.date_range(as_of.to_period("Q").end_time.normalize() + pd.Timedelta(days=1), periods=13, freq="MS")
    units = units_in_service(histories.tenures, starts[0])
    if units.empty:
        raise CannotAnswer(Problem(what="no unit is known to be in service", remedy="Bring the register of vehicles up to date."))
    rng = np.random.default_rng(settings.seed if seed is None else seed)
    season = season_draws(histories.tenures, n_draws + 1, rng)
    monthly = np.ones((n_draws + 1, 12)) if season is None else season[:, starts[:-1].quarter.to_numpy() - 1]
    parameters = np.vstack([lives.model.point, lives.model.sample(n_draws, rng)])
    fitted = fitted_share_reconditioned(histories.tenures, as_of)
    coming = _Coming(starts=starts, reconditioned=1.0 if fitted is None else fitted, season=monthly, parameters=parameters)
    there = np.ones((len(units), 12)) if vehicles is None else share_of_month(units, vehicles, starts)
    expected = {str(size): _of_size(own, there[own.index], lives.model, needless, coming, rng) for size, own in units.groupby("size")}
    assumed = {
        "No unit of known origin was fitted in the last three years: reconditioned ones are taken to follow.": fitted is None,
        "Too few condemned units to know the seasons: the year is spread evenly over its quarters.": season is None,
        "Planned exits of vehicles are not known: all are taken to stay.": vehicles is None,
        "What ends between the day of the report and the first of these quarters is not taken off.": (starts[0] - as_of).days > 1,
    }
    said = (*_cautions(units, lives.model), *(text for text, holds in assumed.items() if holds))
    return _result(expected, len(units), coming, prices, settings, rng, said)


def _of_size(units: pd.DataFrame, there: Floats, model: FailureModel, needless: NeedlessRates, coming: _Coming, rng: np.random.Generator) -> Expected:
    """Expected ends of one refrigerator size, first and second units."""
    rate = rate_draws(group_rate(needless.overall, needless.by_size, units["size"].iloc[0]), len(coming.parameters), rng)
    first = first_ends(model, coming.parameters, units.reset_index(drop=True), there, rate, coming.season)
    total, hot = first, bool(units["hot"].fillna(False).astype(bool).mean() > 0.5)
    for origin, share in (("reconditioned", coming.reconditioned), ("new", 1 - coming.reconditioned)):
        kind = units.iloc[:1].assign(origin=origin, hot=pd.array([hot], dtype="boolean"))
        part = Expected(failures=share * first.failures, needless=share * first.needless)
        total = total.plus(second_ends(model, coming.parameters, kind, part, there.mean(axis=0), rate, coming.season))
    return total


def _cautions(units: pd.DataFrame, model: FailureModel) -> tuple[str, ...]:
    limit = units["origin"].map(model.observed_years).astype("float64")
    beyond = float((units["age_years"] > limit).mean())
    said = ["Vehicles still to be bought are not in it. Its cost is that of exchanging units: outside repairs and days out of service are not in it."]
    if beyond > 0.05:
        said.append(f"{100 * beyond:.0f} % of the units in service are older than the ages the life was observed at: their failures are extrapolated.")
    unknown = int((~units["origin_known"]).sum())
    if unknown:
        said.append(f"{unknown} of {len(units)} units in service are of unknown origin and taken for new ones.")
    return tuple(said)


def _result(
    expected: dict[str, Expected], units: int, coming: _Coming, prices: Prices | None, settings: Settings, rng: np.random.Generator, cautions: tuple[str, ...],
) -> NextYear:
    failures = np.stack([quarters(e.failures) for e in expected.values()])
    needless = np.stack([quarters(e.needless) for e in expected.values()])
    failed, taken = rng.poisson(failures[:, 1:]), rng.poisson(needless[:, 1:])
    each = [exchange_price(prices, size, coming.reconditioned, settings) for size in expected]
    price = np.array([np.nan if amount is None else amount for amount in each])[:, None, None]
    basis, priced = f"{settings.currency} {settings.money_month}", bool(np.isfinite(price).all())
    if prices is not None and not priced:
        cautions += ("No money: an exchange is not priced for every refrigerator size in service.",)

    def lines(mean: Floats, drawn: npt.NDArray[np.generic], unit: str) -> tuple[Estimate, ...]:
        return quarter_lines(mean.sum(axis=0), np.asarray(drawn.sum(axis=0), float), settings.level, METHOD, unit)

    of_failures, of_needless = lines(failures, failed, "units"), lines(needless, taken, "units")
    removals = lines(failures + needless, failed + taken, "units")
    cost = lines(price * (failures + needless), price * (failed + taken), basis) if priced else None
    return NextYear(
        quarters=tuple(f"{start.year}-Q{start.quarter}" for start in coming.starts[:12:3]), units=units, cautions=cautions,
        failures=of_failures[:4], needless=of_needless[:4], removals=removals[:4],
        total_failures=of_failures[4], total_needless=of_needless[4], total_removals=removals[4],
        cost=cost[:4] if cost else None, total_cost=cost[4] if cost else None, price_basis=f"{basis} net" if cost else "",
    )


def exchange_price(prices: Prices | None, size: str, reconditioned: float, settings: Settings) -> float | None:
    """Money of one exchange without days out of service, the kinds weighed as they were fitted lately; None where a kind is not priced."""
    if prices is None:
        return None
    litres, total = None if size == "unknown" else float(size), 0.0
    for origin, share in (("reconditioned", reconditioned), ("new", 1 - reconditioned)):
        row = prices.option(f"exchange_{origin}", litres, settings.as_of)
        if share > 0 and row is None:
            return None
        total += share * row.fixed if row is not None else 0.0
    return total
