"""How probable a true failure is: prior odds of two competing hazards, and findings weighed by the fixed mode table.

Findings are independent within a mode of fault; mixing over modes carries the dependence between them. With one mode per class
this is the usual product of likelihood ratios.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.special import expit, logit, logsumexp

from fleetstats.decision.answer import Evidence, Step
from fleetstats.decision.modes import Floats, ModeTable
from fleetstats.errors import InputRefused, Problem
from fleetstats.results import Estimate

CELL_CASES = 10.0
"""Each cell of the table is drawn as if it had been seen in this many cases."""
SHARE_CASES = 12.0
"""The same for the shares of the modes."""
UNMODELLED_SD = 0.3
"""Standard deviation (log-odds) of what the modes do not capture; assumed."""
FLOOR = 1e-3
"""Drawn cells stay this far from 0 and 1: no single finding is proof."""


def prior_log_odds(failure: npt.ArrayLike, other: npt.ArrayLike) -> Floats:
    """Log-odds of a true failure given that one of two hazards (per year) has just fired; `other` is the rate of outside faults that show
    as a complaint, or, for a unit that a shop has condemned, the hazard of needless removals at that shop."""
    return np.asarray(np.log(np.asarray(failure, float)) - np.log(np.asarray(other, float)))


def prior_log_odds_inspection(failure: npt.ArrayLike, other: npt.ArrayLike) -> Floats:
    """The same for a fault met at an inspection; failure, other: cumulative hazards between the last good look and now."""
    f, h = np.asarray(failure, float), np.asarray(other, float)
    return np.asarray(np.log(-np.expm1(-f)) - h - np.log(-np.expm1(-h)) + f)


def class_log_odds(shares: Floats, bad_given_mode: Floats, findings: list[tuple[int, bool]], inside: npt.NDArray[np.bool_]) -> Floats:
    """Log-odds (inside against outside) that the findings add, all modes mixed. shares (..., m), bad_given_mode (..., r, m)."""
    weight = log_weights(shares, bad_given_mode, findings)
    return np.asarray(logsumexp(weight[..., inside], axis=-1) - logsumexp(weight[..., ~inside], axis=-1))


def log_weights(shares: Floats, bad_given_mode: Floats, findings: list[tuple[int, bool]]) -> Floats:
    """(..., m) log of share times likelihood of the findings."""
    weight = np.log(shares)
    for row, bad in findings:
        cell = bad_given_mode[..., row, :]
        weight = weight + np.log(cell if bad else 1 - cell)
    return np.asarray(weight)


def mode_posterior(prior: float, table: ModeTable, findings: list[tuple[int, bool]]) -> Floats:
    """(m,) probability of each mode after the findings; `prior` is the log-odds of a true failure before them."""
    weight = log_weights(table.shares, table.bad_given_mode, findings) + np.where(table.inside, prior, 0.0)
    return np.asarray(np.exp(weight - logsumexp(weight)))


def waterfall(prior: float, table: ModeTable, findings: list[tuple[int, bool]]) -> tuple[Step, ...]:
    """What each finding adds when entered in turn, and what leaving it out would take away."""
    def total(subset: list[tuple[int, bool]]) -> float:
        return float(class_log_odds(table.shares, table.bad_given_mode, subset, table.inside))

    level = [total(findings[:count]) for count in range(len(findings) + 1)]
    steps = []
    for index, (row, bad) in enumerate(findings):
        line, at = table.rows[row], prior + level[index + 1]
        steps.append(Step(
            check="+".join(line.checks), finding=line.bad if bad else line.good, bad=bad, contribution=level[index + 1] - level[index],
            log_odds=at, probability=float(expit(at)), without=level[-1] - total(findings[:index] + findings[index + 1:]),
        ))
    return tuple(steps)


def log_odds_draws(prior: Floats, table: ModeTable, findings: list[tuple[int, bool]], rng: np.random.Generator) -> Floats:
    """(n,) log-odds after the findings: row 0 the point, the others with the table, the shares and the unmodelled rest drawn.

    prior: (n,) log-odds before the findings, row 0 the point.
    """
    n = len(prior) - 1
    shares = np.empty((n, len(table.modes)))
    for members in (table.inside, ~table.inside):
        shares[:, members] = rng.dirichlet(SHARE_CASES * table.shares[members], n)
    q = table.bad_given_mode
    cells = np.clip(rng.beta(CELL_CASES * q, CELL_CASES * (1 - q), (n, *q.shape)), FLOOR, 1 - FLOOR)
    drawn = class_log_odds(np.maximum(shares, 1e-12), cells, findings, table.inside) + rng.normal(0, UNMODELLED_SD, n)
    point = class_log_odds(table.shares, q, findings, table.inside)
    return np.asarray(prior + np.concatenate([[point], drawn]))


def weigh(
    prior: Floats, table: ModeTable, findings: list[tuple[int, bool]], *, basis: str, level: float, rng: np.random.Generator, cautions: tuple[str, ...] = (),
) -> tuple[Evidence, Floats]:
    """The evidence by the fixed table, not anchored, and the (n,) log-odds behind it (row 0 the point).

    prior: (n,) log-odds before the findings, row 0 the point; basis: where it comes from, in words.
    """
    draws = log_odds_draws(prior, table, findings, rng)
    tail = (1 - level) / 2
    lower, upper = np.quantile(expit(draws[1:]), [tail, 1 - tail])
    method = "prior odds by age and findings by a fixed table of assumed probabilities; not anchored by bench verdicts"
    evidence = Evidence(
        probability=Estimate(estimate=float(expit(draws[0])), lower=float(lower), upper=float(upper), level=level, method=method, unit="probability"),
        anchored=False, prior_probability=float(expit(prior[0])), prior_basis=basis, evidence_log_odds=float(draws[0] - prior[0]),
        steps=waterfall(float(prior[0]), table, findings), cautions=cautions,
        modes=dict(zip(table.modes, mode_posterior(float(prior[0]), table, findings).tolist(), strict=True)),
    )
    return evidence, draws


def log_odds(probability: npt.ArrayLike) -> Floats:
    """The log-odds of a probability. Raises InputRefused outside 0 < p < 1: certainty needs a recorded direct proof, not a number."""
    p = np.asarray(probability, float)
    if ((p <= 0) | (p >= 1)).any():
        remedy = "Record the proof as a finding."
        raise InputRefused(Problem(what="a probability of exactly 0 or 1, or outside", found=str(probability), wanted="0 < p < 1", remedy=remedy))
    return np.asarray(logit(p))
