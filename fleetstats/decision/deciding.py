"""From a case to its sheet: gate, evidence, costs, choice."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd
from scipy.special import expit

from fleetstats.decision.answer import OPTIONS, Decision, Evidence, NextCheck, OptionCost, Unused
from fleetstats.decision.cases import DAYS_PER_YEAR, Case
from fleetstats.decision.checks import check_worths, next_check_words
from fleetstats.decision.comparison import Comparison, compare, expected, is_clear, thresholds, worth_of_knowing
from fleetstats.decision.evidence import log_odds, prior_log_odds, prior_log_odds_inspection, weigh
from fleetstats.decision.hazards import Floats, Hazards, Rates, hazards_for
from fleetstats.decision.modes import ModeTable, mode_table
from fleetstats.decision.options import BENCH_CORE, Matrix, Setting, cost_matrix
from fleetstats.decision.prices import Prices, in_constant_money
from fleetstats.decision.rental import cost_of_a_day
from fleetstats.decision.words import cautions_for, first_step, headline, warranty_cautions
from fleetstats.life import LifeEstimates
from fleetstats.money import Money
from fleetstats.results import Estimate
from fleetstats.safety import Gate
from fleetstats.settings import Settings

NEED_CLEAR_GATE = ("remedy", "verify", "defer")
"""Options that leave a unit running in the vehicle: gone when the gate is closed."""
NO_BENCH = "a leaking core is not run on a bench"
GIVEN_SD = 0.6
"""Standard deviation (log-odds) of a probability handed over as one number; assumed, and said on the sheet."""


@dataclass(frozen=True, kw_only=True)
class _Money:
    """Costs of a case, or why there are none; standing: the options the gate leaves."""

    matrix: Matrix
    costs: Floats = field(repr=False)
    standing: tuple[str, ...]
    setting: Setting | None


def decide(
    case: Case, prices: Prices | None, calendar: pd.DataFrame | None, lives: LifeEstimates | None, rates: Rates | None, settings: Settings, *,
    probability: float | None = None, money: Money | None = None, seed: int | None = None, n_draws: int = 400,
) -> Decision:
    """What to do with this unit.

    prices: in constant money of the report; None: evidence only. calendar: likewise; None: a day out of service costs 0. lives, rates: of
    the records. probability: of a true failure, from the draws of the cause, for a condemned unit of the store; else prior odds and
    findings by the fixed table, marked not anchored.
    money: needed for a case's sale values of another currency or month. n_draws: of the parameters.

    Raises InputRefused for an impossible reading, a probability of 0 or 1, or a calendar in other money than the report's.
    """
    used = settings.seed if seed is None else seed
    rng, gate = np.random.default_rng(used), case.safety_gate()
    hazards = hazards_for(lives, rates or Rates(), size_l=case.size_l, hot=case.hot, n=n_draws + 1, rng=rng)
    table = mode_table(case.symptom)
    found = table.findings(case.outcomes())
    evidence, odds = _evidence(case, hazards, table, found, probability, settings.level, rng)
    priced, assumptions = _price(case, gate, prices, calendar, hazards, evidence, odds, settings, money, rng)
    doubt = () if probability is None else (f"doubt of the probability: standard deviation {GIVEN_SD:g} of its log-odds, assumed",)
    said = (*hazards.assumptions, *doubt, *_defaults(case, hazards), *assumptions)
    answer = _sheet(case, gate, evidence, odds, priced, table, found, settings, used, said)
    return replace(answer, cautions=(*answer.cautions, *warranty_cautions(case, prices)))


def _evidence(
    case: Case, hazards: Hazards, table: ModeTable, found: list[tuple[int, bool]], probability: float | None, level: float, rng: np.random.Generator,
) -> tuple[Evidence, Floats]:
    prior, basis = prior_odds(case, hazards)
    evidence, odds = weigh(prior, table, found, basis=basis, level=level, rng=rng)
    unused = tuple(Unused(check=check, outcome=outcome, reason=why) for check, outcome, why in table.unused(case.outcomes()))
    evidence = replace(evidence, unused=unused)
    if probability is None:
        return evidence, odds
    given = log_odds(probability) + np.concatenate([[0.0], rng.normal(0, GIVEN_SD, len(prior) - 1)])
    lower, upper = np.quantile(expit(given[1:]), [(1 - level) / 2, (1 + level) / 2])
    method = "draws of the cause of this condemned unit, anchored at the bench; the findings of the case are shown beside it, not counted again"
    estimate = Estimate(estimate=probability, lower=float(lower), upper=float(upper), level=level, method=method, unit="probability")
    return replace(evidence, probability=estimate, anchored=True), given


def prior_odds(case: Case, hazards: Hazards) -> tuple[Floats, str]:
    """(n,) log-odds of a true failure before any finding, and where they come from in words."""
    other, words = (hazards.needless, "sound units condemned") if case.condemned else (hazards.outside, "outside faults that look like them")
    if case.last_good is not None and case.last_good < case.date:
        gap = (case.date - case.last_good).days / DAYS_PER_YEAR
        h = hazards.failure[case.life](np.array([max(case.age_years - gap, 0.0), case.age_years]))
        return prior_log_odds_inspection(h[:, 1] - h[:, 0], other * gap), f"true failures against {words}, since the unit was last seen working"
    return prior_log_odds(hazards.at(case.life, case.age_years), other), f"true failures against {words}, at this age"


def _defaults(case: Case, hazards: Hazards) -> list[str]:
    said = ["origin of the unit not known: taken as new"] if case.origin == "unknown" else []
    limit = hazards.observed_years.get(case.life)
    if limit is not None and case.age_years > limit:
        said.append(f"the unit is {case.age_years:.1f} years old, beyond the {limit:.1f} years the records carry: the life is extrapolated")
    return said


def _price(
    case: Case, gate: Gate, prices: Prices | None, calendar: pd.DataFrame | None, hazards: Hazards, evidence: Evidence, odds: Floats,
    settings: Settings, money: Money | None, rng: np.random.Generator,
) -> tuple[_Money, list[str]]:
    why = _why_no_money(case, prices, hazards)
    if why or prices is None or case.months_to_exit is None:
        empty = np.empty((len(odds), 0))
        matrix = Matrix(options=(), if_failed=empty, if_healthy=empty, unpriced=dict.fromkeys(OPTIONS, why))
        return _Money(matrix=matrix, costs=empty, standing=(), setting=None), []
    day = None if calendar is None else cost_of_a_day(calendar, case.depot, settings)
    said = list(prices.warnings)
    if day is None:
        said.append(f"no rental calendar for depot {case.depot}: a day out of service counted as 0, so costs are lower bounds")
    stated = case if case.sale is None else case.model_copy(update={"sale": in_constant_money(case.sale, settings, money)})
    by_month = np.zeros(12) if day is None else day
    setting = Setting(case=stated, prices=prices, hazards=hazards, day_by_month=by_month, real_rate=settings.real_rate, months=case.months_to_exit)
    if setting.warranty_of_present_unit:
        said.append(f"the present unit is {case.age_years:.1f} years old and taken to carry the warranty of today's price row")
    matrix = cost_matrix(setting, outside_shares(evidence, mode_table(case.symptom)), rng)
    standing = tuple(o for o in matrix.options if not _gone(o, gate))
    return _Money(matrix=matrix, costs=expected(matrix.if_failed, matrix.if_healthy, expit(odds)), standing=standing, setting=setting), said


def _why_no_money(case: Case, prices: Prices | None, hazards: Hazards) -> str:
    if not hazards.anchored:
        return "these records carry no corrected life (too few bench verdicts or failures)"
    if prices is None:
        return "no prices.toml"
    return "" if case.months_to_exit is not None else "the planned exit of the vehicle is not known"


def outside_shares(evidence: Evidence, table: ModeTable) -> dict[str, float]:
    """Outside mode -> its probability given a sound unit."""
    outside = {mode: evidence.modes[mode] for mode, inside in zip(table.modes, table.inside, strict=True) if not inside}
    whole = sum(outside.values())
    return {mode: share / whole for mode, share in outside.items()}


def likely_outside(evidence: Evidence, table: ModeTable) -> str | None:
    """The outside mode to name: more than half of the outside modes' probability, and more than the shares before complaint and findings give it."""
    before = mode_table()
    untouched = dict(zip(before.modes, before.shares / (before.shares @ ~before.inside), strict=True))
    mode, share = max(outside_shares(evidence, table).items(), key=lambda item: item[1])
    return mode if share > 0.5 and share > untouched[mode] else None


def _sheet(
    case: Case, gate: Gate, evidence: Evidence, odds: Floats, money: _Money, table: ModeTable, found: list[tuple[int, bool]], settings: Settings,
    seed: int, assumptions: tuple[str, ...],
) -> Decision:
    matrix, names = money.matrix, money.standing
    columns = [matrix.options.index(o) for o in names]
    costs = money.costs[:, columns]
    outcome = compare(costs[1:]) if names else None
    best = names[int(costs[0].argmin())] if names and not gate.gas_side_only else None
    failed, healthy, p = matrix.if_failed[0, columns], matrix.if_healthy[0, columns], float(expit(odds[0]))
    checks, outside = _checks(gate, evidence, money, p, table, found), likely_outside(evidence, table)
    advised = checks[0].check.split("+") if checks and checks[0].net > 0 else []
    return Decision(
        case=case.name, vehicle_id=case.vehicle_id, date=case.date.isoformat(), headline=headline(best, gate, evidence, outside),
        probability_true_failure=evidence.probability, anchored=evidence.anchored, gate_state=gate.state, gate_finding=gate.finding,
        first_step=first_step(gate), options=tuple(_line(o, gate, money, names, costs, p, outcome, settings) for o in OPTIONS), recommended=best,
        recommended_if_closed=_if_closed(gate, names, costs), clear_difference=_is_clear(names, costs, outcome, best),
        thresholds=thresholds(names, failed, healthy) if best else (), evidence=evidence, checks=checks,
        next_check=next_check_words(checks, gate, best, settings.currency), evpi=worth_of_knowing(failed, healthy, p) if best else None,
        price_basis=f"{settings.currency} {settings.money_month} net" if names else "", seed=seed, assumptions=assumptions,
        cautions=cautions_for(gate, best, evidence, case, advised=advised, outside=outside),
    )


def _checks(gate: Gate, evidence: Evidence, money: _Money, p: float, table: ModeTable, found: list[tuple[int, bool]]) -> tuple[NextCheck, ...]:
    if money.setting is None or not money.standing or gate.state == "closed":
        return ()
    columns = [money.matrix.options.index(o) for o in money.standing]
    modes = np.array([evidence.modes[mode] for mode in table.modes])
    inside = modes * table.inside / (modes @ table.inside)
    weights = p * inside + (1 - p) * (modes * ~table.inside) / (modes @ ~table.inside)
    costs = np.where(table.inside, money.matrix.if_failed[0, columns, None], money.matrix.if_healthy[0, columns, None])
    rate = max((row.labour_rate for row in money.setting.prices.remedy), default=0.0)
    return check_worths(table, {row for row, _ in found}, costs, weights, labour_rate=rate, day_cost=money.setting.down(1.0))


def _gone(option: str, gate: Gate) -> str:
    """Why the gate removes this option; "" where it leaves it."""
    if gate.state != "closed":
        return ""
    if option == BENCH_CORE:
        return NO_BENCH if "leak" in gate.about else ""
    return gate.finding if option in NEED_CLEAR_GATE else ""


def _line(
    option: str, gate: Gate, money: _Money, names: tuple[str, ...], costs: Floats, p: float, outcome: Comparison | None, settings: Settings,
) -> OptionCost:
    if option in money.matrix.unpriced:
        gone = _gone(option, gate)
        return OptionCost(option=option, status="removed by the gate" if gone else "not priced", reason=gone or money.matrix.unpriced[option])
    if option not in names or outcome is None:
        return OptionCost(option=option, status="removed by the gate", reason=_gone(option, gate))
    at, column = names.index(option), money.matrix.options.index(option)
    waits = gate.state == "not checked" and option in NEED_CLEAR_GATE
    lower, upper = np.quantile(costs[1:, at], [(1 - settings.level) / 2, (1 + settings.level) / 2])
    cost = Estimate(
        estimate=float(costs[0, at]), lower=float(lower), upper=float(upper), level=settings.level,
        method="expected cost to the planned exit; interval from the draws of the parameters", unit=f"{settings.currency} {settings.money_month}",
    )
    later_failed, later_healthy = money.matrix.later[option]
    later = p * later_failed + (1 - p) * later_healthy
    return OptionCost(
        option=option, status="only after C01 is clear" if waits else "priced", cost=cost, p_best=float(outcome.p_best[at]), regret=float(outcome.regret[at]),
        if_failed=float(money.matrix.if_failed[0, column]), if_healthy=float(money.matrix.if_healthy[0, column]),
        now=float(costs[0, at]) - later, later=later,
    )


def _if_closed(gate: Gate, names: tuple[str, ...], costs: Floats) -> str | None:
    """The cheapest option that a gate closed by a leak (C01) would leave."""
    left = [(float(costs[0, at]), option) for at, option in enumerate(names) if option not in (*NEED_CLEAR_GATE, BENCH_CORE)]
    return min(left)[1] if gate.state == "not checked" and left else None


def _is_clear(names: tuple[str, ...], costs: Floats, outcome: Comparison | None, best: str | None) -> bool:
    """Benching the core that comes out is no other choice than the exchange itself."""
    if outcome is None or best is None:
        return False
    twins = {"exchange_reconditioned", BENCH_CORE}
    others = [at for at, option in enumerate(names) if option != best and not {option, best} <= twins]
    return is_clear(costs[0], outcome, names.index(best), others)


