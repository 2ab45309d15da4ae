"""The audit: of the units condemned, how many were healthy; every number with its interval, its bounds and its 'if'."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.diagnosis.accuracy import bench_bounds, share_by_bench, share_tested_only
from fleetstats.diagnosis.causes import causes_of
from fleetstats.diagnosis.funnel import funnel_of
from fleetstats.diagnosis.shares import Bounds, CauseDraws, NeedlessShare, RemovalAudit, ShareIf, ShopShare
from fleetstats.errors import CannotAnswer, Problem
from fleetstats.histories import Histories
from fleetstats.results import Estimate
from fleetstats.settings import Settings

SCENARIOS = (0.1, 0.3, 0.5)
BENCH_ACCURACIES = (0.90, 0.99)
ODDS_TESTED = (0.5, 1.0, 2.0)


def audit_removals(histories: Histories, causes: CauseDraws, bench_tests: pd.DataFrame, settings: Settings) -> RemovalAudit:
    """How many of the condemned units of these histories were healthy: overall and by shop.

    Below 10 definite verdicts in all no share is given, of the fleet or of a shop: counts, bounds and assumed shares only.
    causes: of `draw_causes` with the same histories. bench_tests: tables.BENCH_TESTS; only to count verdicts without a tenure.
    Raises CannotAnswer when no unit was condemned.
    """
    tenures = histories.tenures
    condemned = tenures[tenures["ending"] == "condemned"]
    if condemned.empty:
        remedy = "A share needs visits at which a unit was removed because it was said to be at fault."
        raise CannotAnswer(Problem(what="no unit was condemned", remedy=remedy))
    named = set(condemned["bench_test_id"].dropna())
    return RemovalAudit(
        condemned=len(condemned), tested=int(causes.tested.sum()), no_fault=int(causes.no_fault.sum()),
        condemned_never_benched=int((~causes.benching).sum()), anchored=causes.anchored,
        needless_share=_needless_share(condemned, causes, settings), by_shop=by_shop(causes, settings.level),
        by_bench_accuracy=_by_accuracy(tenures, causes, settings), by_odds_tested=_by_odds(tenures, causes, settings),
        by_prior=_by_prior(tenures, causes, settings), scenarios=() if causes.anchored else _scenarios(settings.level),
        funnel=funnel_of(causes.shops, causes.tested, causes.no_fault, settings.level) if causes.anchored else None,
        unjoined_bench_tests=int((~bench_tests["bench_test_id"].isin(named)).sum()), cautions=_cautions(causes),
    )


def counted_share(needless: np.ndarray, level: float, method: str) -> Estimate:
    """Share of needless removals, counted on every draw. needless: (n_draws, n), both >= 1; ends are counts that occurred."""
    shares = needless.mean(axis=1)
    tail = (1 - level) / 2
    return Estimate(
        estimate=float(shares.mean()), lower=float(np.quantile(shares, tail, method="lower")),
        upper=float(np.quantile(shares, 1 - tail, method="higher")), level=level, method=method, unit="share",
    )


def by_shop(causes: CauseDraws, level: float) -> tuple[ShopShare, ...]:
    """One row per condemning shop, most condemned first."""
    codes, names = pd.factorize(causes.shops)
    order = np.argsort(-np.bincount(codes, minlength=len(names)), kind="stable")
    return tuple(_shop(str(names[code]), codes == code, causes, level) for code in order)


def _shop(name: str, own: np.ndarray, causes: CauseDraws, level: float) -> ShopShare:
    tested, no_fault = int(causes.tested[own].sum()), int(causes.no_fault[own].sum())
    return ShopShare(
        shop=name, condemned=int(own.sum()), tested=tested, no_fault=no_fault,
        corrected=counted_share(causes.needless[:, own], level, causes.method) if causes.anchored else None,
        by_bench=share_by_bench(no_fault, tested, level) if tested and causes.anchored else None,
        note="" if tested or not causes.anchored else "no tests at this shop; borrowed",
    )


def _needless_share(condemned: pd.DataFrame, causes: CauseDraws, settings: Settings) -> NeedlessShare:
    tested, no_fault = int(causes.tested.sum()), int(causes.no_fault.sum())
    bounds: Bounds = bench_bounds(condemned["bench_outcome"], condemned["bench"], settings)
    if not causes.anchored:
        return NeedlessShare(tested_only=None, corrected=None, corrected_all_shops=None, method=causes.method, bounds=bounds)
    return NeedlessShare(
        tested_only=share_tested_only(no_fault, tested, settings.level), corrected=_headline(causes, settings.level),
        corrected_all_shops=counted_share(causes.needless, settings.level, f"{causes.method}; all shops"), method=causes.method, bounds=bounds,
    )


def _headline(causes: CauseDraws, level: float) -> Estimate:
    return counted_share(causes.needless[:, causes.benching], level, f"{causes.method}; shops that bench")


def _by_accuracy(tenures: pd.DataFrame, causes: CauseDraws, settings: Settings) -> tuple[ShareIf, ...]:
    if not causes.anchored:
        return ()
    draws = {a: causes_of(tenures, settings, n_draws=causes.n_draws, seed=causes.seed, odds_tested=causes.odds_tested, accuracy=a) for a in BENCH_ACCURACIES}
    text = "if every bench is right in {:.0f} % of cases"
    return tuple(ShareIf(assumption=text.format(100 * a), value=a, share=_headline(d, settings.level)) for a, d in draws.items())


def _by_odds(tenures: pd.DataFrame, causes: CauseDraws, settings: Settings) -> tuple[ShareIf, ...]:
    if not causes.anchored:
        return ()
    draws = {odds: causes_of(tenures, settings, n_draws=causes.n_draws, seed=causes.seed, odds_tested=odds) for odds in ODDS_TESTED}
    text = "if the odds of a true fault are {:g} times as high among tested units as among alike untested ones"
    return tuple(ShareIf(assumption=text.format(odds), value=odds, share=_headline(d, settings.level)) for odds, d in draws.items())


def _by_prior(tenures: pd.DataFrame, causes: CauseDraws, settings: Settings) -> tuple[ShareIf, ...]:
    """Where counts alone are used the prior matters: the same under a flat one."""
    if "beta-binomial" not in causes.method:
        return ()
    flat = causes_of(tenures, settings, n_draws=causes.n_draws, seed=causes.seed, odds_tested=causes.odds_tested, prior=(1.0, 1.0))
    return (ShareIf(assumption="if every share were equally likely beforehand (Beta(1, 1))", value=1.0, share=_headline(flat, settings.level)),)


def _scenarios(level: float) -> tuple[ShareIf, ...]:
    return tuple(
        ShareIf(assumption=f"if {100 * share:.0f} % of the condemned units were healthy", value=share,
                share=Estimate(estimate=share, lower=None, upper=None, level=level, method="assumed, not estimated", unit="share"))
        for share in SCENARIOS
    )


def _cautions(causes: CauseDraws) -> tuple[str, ...]:
    missing = int((~causes.benching).sum())
    note = f"{missing} of {len(causes.shops)} condemned units come from shops that never bench; the headline share leaves them out."
    return (*causes.cautions, *((note,) if causes.anchored and missing else ()))
