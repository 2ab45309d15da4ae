"""How right a bench is: priors from double tests, draws of them (never updated by the fleet's own data), and arithmetic with known accuracy."""

from __future__ import annotations

import numpy as np
import pandas as pd
from statsmodels.stats.proportion import proportion_confint

from fleetstats.diagnosis.shares import Bounds
from fleetstats.results import Estimate
from fleetstats.settings import Bench, Settings

FLOOR = 0.6
"""Draws of sensitivity and specificity below this are raised to it: a bench worse than that tells nothing."""

DEFINITE = ("fault confirmed", "no fault found", "restarted")
"""Outcomes that are a verdict; 'restarted' is a healthy one, 'inconclusive' is none."""


def verdicts(outcome: pd.Series) -> tuple[np.ndarray, np.ndarray]:
    """(tested, no_fault), (n,) each, of bench outcomes; no_fault is False where not tested."""
    tested = outcome.isin(DEFINITE).to_numpy(bool)
    return tested, tested & (outcome != "fault confirmed").fillna(False).to_numpy(bool)


def bench_codes(bench: pd.Series) -> tuple[np.ndarray, list[str]]:
    """(n,) code and the names of the benches in order of appearance; one without a name is ''."""
    codes, names = pd.factorize(bench.fillna(""))
    return codes, [str(name) for name in names]


def draw_accuracy(names: list[str], settings: Settings, n_draws: int, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Sensitivity and specificity, (n_draws, n_benches) each, drawn from the Beta priors of the settings, cut at FLOOR."""
    shape = (n_draws, len(names))
    priors = [(_bench(name, settings).sensitivity(), _bench(name, settings).specificity()) for name in names]
    se = rng.beta([p[0][0] for p in priors], [p[0][1] for p in priors], size=shape)
    sp = rng.beta([p[1][0] for p in priors], [p[1][1] for p in priors], size=shape)
    return np.maximum(se, FLOOR), np.maximum(sp, FLOOR)


def mean_accuracy(names: list[str], settings: Settings) -> tuple[np.ndarray, np.ndarray]:
    """Prior means of sensitivity and specificity, (n_benches,) each."""
    priors = [(_bench(name, settings).sensitivity(), _bench(name, settings).specificity()) for name in names]
    return np.array([p[0][0] / sum(p[0]) for p in priors]), np.array([p[1][0] / sum(p[1]) for p in priors])


def _bench(name: str, settings: Settings) -> Bench:
    return settings.bench.get(name, Bench())


def rogan_gladen(apparent: float, sensitivity: float, specificity: float) -> float:
    """Share of healthy units behind an apparent no-fault share, before any truncation to [0, 1].

    apparent: no-fault verdicts over verdicts. sensitivity: P(fault confirmed | needs replacing). specificity: P(no fault | healthy).
    Rogan & Gladen (1978), Am. J. Epidemiol. 107:71-76, with 'healthy' as the condition sought.
    """
    return (apparent + sensitivity - 1) / (sensitivity + specificity - 1)


def share_by_bench(no_fault: int, tested: int, level: float) -> Estimate:
    """Share of healthy units by a shop's own verdicts: Wilson limits corrected with the bench at 0.90 and at 0.99, the wider ends of both.

    Truncated to [0, 1]; the point has the bench at 0.99. tested: >= 1.
    """
    low, high = proportion_confint(no_fault, tested, alpha=1 - level, method="wilson")
    ends = [rogan_gladen(p, a, a) for p in (low, high) for a in (0.90, 0.99)]
    point = rogan_gladen(no_fault / tested, 0.99, 0.99)
    lower, point, upper = (float(min(max(value, 0.0), 1.0)) for value in (min(ends), point, max(ends)))
    method = "own verdicts alone: Wilson limits, Rogan-Gladen with the bench at 0.90 and 0.99, wider ends, cut to 0..1"
    return Estimate(estimate=point, lower=lower, upper=upper, level=level, method=method, unit="share")


def share_tested_only(no_fault: int, tested: int, level: float) -> Estimate:
    """No-fault verdicts over verdicts with Wilson limits; says nothing of units nobody tested. tested: >= 1."""
    low, high = proportion_confint(no_fault, tested, alpha=1 - level, method="wilson")
    return Estimate(estimate=no_fault / tested, lower=float(low), upper=float(high), level=level, method="tested units only, Wilson", unit="share")


def share_bounds(condemned: int, tested: np.ndarray, no_fault: np.ndarray, sensitivity: np.ndarray, specificity: np.ndarray) -> Bounds:
    """Lowest and highest needless share the verdicts allow: all untested units failed, or all healthy (Manski 1990, from memory).

    condemned: all condemned units. tested, no_fault: verdicts per bench. sensitivity, specificity: of each bench, taken as known.
    """
    healthy = np.clip((no_fault - tested * (1 - sensitivity)) / (sensitivity + specificity - 1), 0, tested).sum()
    return Bounds(lower=float(healthy / condemned), upper=float((healthy + condemned - tested.sum()) / condemned))


def bench_bounds(outcome: pd.Series, bench: pd.Series, settings: Settings) -> Bounds:
    """`share_bounds` of condemned units with the prior means of their benches. outcome, bench: (n,), n >= 1."""
    tested, no_fault = verdicts(outcome)
    codes, names = bench_codes(bench[tested])
    se, sp = mean_accuracy(names, settings)
    counts = np.bincount(codes, minlength=len(names)).astype(float)
    return share_bounds(len(outcome), counts, np.bincount(codes, weights=no_fault[tested], minlength=len(names)), se, sp)
