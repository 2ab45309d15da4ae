"""The cost matrix: each option's expected cost to the vehicle's exit, given a true failure and given a sound unit with an outside fault."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from fleetstats.decision.answer import OPTIONS
from fleetstats.decision.cases import Case, Sale
from fleetstats.decision.hazards import Floats, Hazards
from fleetstats.decision.outlook import Life, Stay, Successor, Terms, outlook, renewals
from fleetstats.decision.prices import Price, Prices
from fleetstats.decision.rental import cells_from, days_from, downtime_cost, still_down

EXCHANGES = ("exchange_used_tested", "exchange_reconditioned", "exchange_new", "recondition_own", "replace_refrigerator")
BENCH_CORE = "exchange_reconditioned_bench_core"
Costs = dict[str, tuple[Floats, Floats]]
"""Option -> (n,) cost given a true failure, and given a sound unit."""
Later = dict[str, tuple[float, float]]
"""Option -> its part after today's work, point estimate only, given the same two."""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One vehicle's case with everything its costs are made of. day_by_month: (12,) cost of a day out of service."""

    case: Case
    prices: Prices
    hazards: Hazards = field(repr=False)
    day_by_month: Floats = field(repr=False)
    real_rate: float
    months: int

    @property
    def stay(self) -> Stay:
        """The rest of the stay in monthly cells."""
        return Stay(day_cost=cells_from(self.case.date, self.months, self.day_by_month), real_rate=self.real_rate)

    def down(self, days: float) -> float:
        """Cost of this many days out of service from today on."""
        return downtime_cost(p := still_down(1.0, days, 0.0, 0.0), days_from(self.case.date, len(p), self.day_by_month))

    def price(self, option: str) -> Price | None:
        """The price row of an option for this vehicle today."""
        return self.prices.option(option, self.case.size_l, self.case.date)

    @property
    def warranty_of_present_unit(self) -> bool:
        """Whether the present unit is young enough for the warranty that its kind carries today."""
        price = self.price(f"exchange_{self.case.life}")
        return price is not None and self.case.age_years < price.warranty_months / 12


@dataclass(frozen=True, kw_only=True)
class Matrix:
    """Costs of the options that could be priced: (n, o) each, in the order of `options`; unpriced: option -> why not.

    later: option -> the part of the point estimate (given a true failure, given a sound unit) that falls after today's work.
    """

    options: tuple[str, ...]
    if_failed: Floats = field(repr=False)
    if_healthy: Floats = field(repr=False)
    unpriced: Mapping[str, str]
    later: Mapping[str, tuple[float, float]] = field(default_factory=dict, repr=False)


@dataclass(frozen=True, kw_only=True)
class _Remedy:
    """An outside fault put right today: its cost, a second one, the chance that the first is right."""

    cost: float
    p_right: float
    fixed: float
    days: float


def cost_matrix(setting: Setting, outside_modes: Mapping[str, float], rng: np.random.Generator) -> Matrix:
    """The whole matrix. outside_modes: probability of each outside mode given a sound unit; it weighs the remedies' prices."""
    n = len(setting.hazards.outside)
    remedy, why = _remedy(setting, outside_modes)
    costs: Costs = {}
    later: Later = {}
    unpriced = dict.fromkeys(OPTIONS, why or "no row for it and this refrigerator size in prices.toml")
    if remedy is None:
        return Matrix(options=(), if_failed=np.empty((n, 0)), if_healthy=np.empty((n, 0)), unpriced=unpriced)
    _exchanges(setting, remedy, costs, later)
    _in_the_vehicle(setting, remedy, costs, later, unpriced, rng)
    _later_or_never(setting, remedy, costs, later, unpriced)
    names = tuple(option for option in OPTIONS if option in costs)
    failed, healthy = ([np.broadcast_to(costs[o][side], (n,)) for o in names] for side in (0, 1))
    return Matrix(
        options=names, if_failed=np.stack(failed, axis=1) if names else np.empty((n, 0)), if_healthy=np.stack(healthy, axis=1) if names else np.empty((n, 0)),
        unpriced={option: reason for option, reason in unpriced.items() if option not in costs}, later=later,
    )


def _remedy(setting: Setting, outside_modes: Mapping[str, float]) -> tuple[_Remedy | None, str]:
    """The remedies weighed by how probable each outside fault is."""
    rows = {str(mode): row for row in setting.prices.remedy for mode in row.modes}
    missing = [mode for mode in outside_modes if mode not in rows]
    if missing:
        return None, f"no remedy priced for the outside fault {missing[0]} in prices.toml"
    each = np.array([(rows[mode].fixed, rows[mode].days, rows[mode].p_right) for mode in outside_modes])
    fixed, days, right = (float(value) for value in np.array(list(outside_modes.values())) @ each)
    return _Remedy(cost=fixed + setting.down(days), p_right=right, fixed=fixed, days=days), ""


def _terms(setting: Setting, remedy: _Remedy, price: Price | None) -> Terms:
    resale = setting.prices.resale
    warranty = {"warranty_credit": price.unit_price, "warranty_years": price.warranty_months / 12} if price else {}
    gain = {"exit_gain": resale.fresh_unit_gain, "exit_years": resale.until_years} if resale else {}
    return Terms(remedy_fixed=remedy.fixed, remedy_days=remedy.days, **warranty, **gain)


def _life(setting: Setting, origin: str, age_years: float = 0.0) -> Life:
    hazards = setting.hazards
    return Life(failure=hazards.failure[origin], outside=hazards.outside, needless_share=hazards.needless_share, age_years=age_years)


def _successor(setting: Setting, life: str, instead: Price) -> Price:
    """What is fitted when a unit of this life ends: the exchange of its kind, or the same again where that has no price."""
    return setting.price(f"exchange_{life}") or instead


def _worth(setting: Setting, remedy: _Remedy, price: Price, months: int) -> Floats:
    """(n,) outlook of a unit fitted under this price with `months` of the stay left, followed by units of its kind."""
    stay = setting.stay
    stay = replace(stay, day_cost=stay.day_cost[stay.cells - months:])
    follower = _successor(setting, price.life, price)
    like = Successor(fixed=follower.fixed, days=follower.mean_days)
    after = renewals(_life(setting, price.life), stay, like, _terms(setting, remedy, follower))
    if follower is price and not price.fitted_age_years:
        return np.asarray(after[:, -1])
    terms = _terms(setting, remedy, price)  # the warranty runs from today, the terms count the unit's age
    terms = replace(terms, warranty_years=terms.warranty_years + price.fitted_age_years)
    return outlook(_life(setting, price.life, price.fitted_age_years), stay, like, terms, after)


def _now(setting: Setting, option: str, price: Price) -> float:
    """What the exchange costs today, days out of service included."""
    on_shelf = setting.case.shelf.get(option) if price.lead_days_out else None
    in_stock = price.p_in_stock if on_shelf is None else float(on_shelf > 0)
    down = still_down(in_stock, price.lead_days_in_stock, price.lead_days_out, price.lead_days_out_sd)
    return price.fixed + downtime_cost(down, days_from(setting.case.date, len(down), setting.day_by_month))


def _exchanges(setting: Setting, remedy: _Remedy, costs: Costs, later: Later) -> None:
    """Every way to put a working unit in; with a sound unit the outside fault is still to be mended."""
    for option in EXCHANGES:
        price = setting.price(option)
        if price is None:
            continue
        worth = _worth(setting, remedy, price, setting.months)
        total = _now(setting, option, price) + worth
        costs[option] = (total, total + (1 - price.cures_outside) * remedy.cost)
        later[option] = (float(worth[0]), float(worth[0]))


def keep_outlook(setting: Setting, remedy: _Remedy) -> Floats | None:
    """(n,) outlook of the present unit when it is sound, followed by reconditioned units (new ones where those have no price)."""
    successor = setting.price("exchange_reconditioned") or setting.price("exchange_new")
    if successor is None:
        return None
    terms = _terms(setting, remedy, setting.price(f"exchange_{setting.case.life}"))
    like = Successor(fixed=successor.fixed, days=successor.mean_days)
    after = renewals(_life(setting, successor.life), setting.stay, like, _terms(setting, remedy, successor))
    return outlook(_life(setting, setting.case.life, setting.case.age_years), setting.stay, like, terms, after)


def _in_the_vehicle(
    setting: Setting, remedy: _Remedy, costs: Costs, later: Later, unpriced: dict[str, str], rng: np.random.Generator,
) -> None:
    """Remedy first, verify first, and benching the core that comes out."""
    keep, repeat = keep_outlook(setting, remedy), setting.prices.repeat_visit
    best = min((option for option in EXCHANGES if option in costs), key=lambda option: float(costs[option][0][0]), default=None)
    if keep is None or repeat is None or best is None:
        reason = "needs a priced exchange (reconditioned or new) and [repeat_visit] in prices.toml"
        unpriced.update(remedy=reason, verify=reason)
    else:
        again = repeat.price + setting.down(repeat.days)
        failed, g = remedy.cost + again + costs[best][0], remedy.p_right
        healthy = g * (remedy.cost + keep) + (1 - g) * (2 * remedy.cost + again + keep)
        costs["remedy"] = (failed, healthy)
        later["remedy"] = (later[best][0], float(keep[0]))
        _verify(setting, costs, later, unpriced, best, rng)
    _bench_core(setting, costs, later, unpriced, rng)


def _verify(setting: Setting, costs: Costs, later: Later, unpriced: dict[str, str], best: str, rng: np.random.Generator) -> None:
    test = setting.prices.verify
    if test is None:
        unpriced["verify"] = "no [verify] in prices.toml"
        return
    n = len(setting.hazards.outside)
    se, sp = accuracy_draws(test.sensitivity, test.cases_faulty, n, rng), accuracy_draws(test.specificity, test.cases_healthy, n, rng)
    spent = test.price + setting.down(test.days)
    (remedy_f, remedy_h), (best_f, best_h) = costs["remedy"], costs[best]
    costs["verify"] = (spent + se * best_f + (1 - se) * remedy_f, spent + sp * remedy_h + (1 - sp) * best_h)
    (then_remedy_f, then_remedy_h), (then_best_f, then_best_h) = later["remedy"], later[best]
    right_f, right_h = float(se[0]), float(sp[0])
    later["verify"] = (right_f * then_best_f + (1 - right_f) * then_remedy_f, right_h * then_remedy_h + (1 - right_h) * then_best_h)


def accuracy_draws(share: float, cases: float, n: int, rng: np.random.Generator) -> Floats:
    """(n,) row 0 the share, the others Beta draws with the counts behind it; all alike where there are none."""
    if cases <= 0:
        return np.full(n, share)
    return np.concatenate([[share], rng.beta(share * cases + 0.5, (1 - share) * cases + 0.5, n - 1)])


def _bench_core(setting: Setting, costs: Costs, later: Later, unpriced: dict[str, str], rng: np.random.Generator) -> None:
    core, test = setting.prices.core, setting.prices.verify
    if core is None or test is None or "exchange_reconditioned" not in costs:
        unpriced[BENCH_CORE] = "needs [core], [verify] and a price of exchange_reconditioned in prices.toml"
        return
    sp = accuracy_draws(test.specificity, test.cases_healthy, len(setting.hazards.outside), rng)
    failed, healthy = costs["exchange_reconditioned"]
    later[BENCH_CORE] = later["exchange_reconditioned"]
    costs[BENCH_CORE] = (failed + core.bench_cost, healthy + core.bench_cost - sp * core.healthy_value)


def _later_or_never(setting: Setting, remedy: _Remedy, costs: Costs, later: Later, unpriced: dict[str, str]) -> None:
    deferred, why = _defer(setting, remedy)
    if deferred is None:
        unpriced["defer"] = why
    else:
        costs["defer"] = deferred
        later["defer"] = (float(deferred[0][0]), float(deferred[1][0]))
    if setting.case.sale is None:
        unpriced["sell"] = "needs the sale value as it is, the planned exit value and the margin per month, all three"
    else:
        sold = np.full(len(setting.hazards.outside), sell_cost(setting.case.sale, setting.stay))
        costs["sell"] = (sold, sold)
        forgone = float(sold[0]) + setting.case.sale.sale_value
        later["sell"] = (forgone, forgone)


def _defer(setting: Setting, remedy: _Remedy) -> tuple[tuple[Floats, Floats] | None, str]:
    """Hire out with refunds until the cheapest month within a year, then send the unit out."""
    price, refund, stay = setting.price("recondition_own"), setting.prices.defer, setting.stay
    if price is None or refund is None:
        return None, "needs [defer] and a price of recondition_own in prices.toml"
    wait = int(np.argmin(stay.day_cost[:12])) if stay.cells else 0
    if wait == 0:
        return None, "no cheaper month lies ahead within a year and before the exit"
    weight = stay.discount((np.arange(wait) + 0.5) / 12)
    refunds = float(weight @ stay.day_cost[:wait]) * refund.refund_share * 365.25 / 12
    then = price.fixed + price.mean_days * stay.day_cost[wait] + _worth(setting, remedy, price, setting.months - wait)
    mend = (1 - price.cures_outside) * (remedy.fixed + remedy.days * stay.day_cost[wait])
    factor = float(stay.discount(wait / 12))
    return (refunds + factor * then, refunds + factor * (then + mend)), ""


def sell_cost(sale: Sale, stay: Stay) -> float:
    """Selling today: less the sale, plus the margin and the exit value forgone, discounted."""
    years = stay.cells * stay.step_years
    months = float(stay.discount((np.arange(stay.cells) + 0.5) * stay.step_years).sum()) * stay.step_years * 12
    return float(-sale.sale_value + sale.margin_per_month * months + sale.planned_exit_value * float(stay.discount(years)))
