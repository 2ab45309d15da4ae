"""Draws of the cause of every condemned tenure: truly failed, or healthy and removed needlessly."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.diagnosis.accuracy import bench_codes, draw_accuracy, mean_accuracy, verdicts
from fleetstats.diagnosis.anchored import after_verdict, need_probabilities
from fleetstats.diagnosis.design import design, shop_labels
from fleetstats.diagnosis.grid import PRIOR, draw_shares
from fleetstats.diagnosis.shares import CauseDraws
from fleetstats.histories import Histories
from fleetstats.settings import Settings

FEWEST_VERDICTS = 10
"""Below this many definite verdicts nothing is anchored: bounds and scenarios only."""

FEWEST_FOR_COVARIATES = 30
"""Below this many the shares are drawn from counts per shop, without covariates."""

N_DRAWS = 200
Accuracy = tuple[np.ndarray, np.ndarray]


def draw_causes(
    histories: Histories, settings: Settings, *, n_draws: int = N_DRAWS, seed: int | None = None, odds_tested: float = 1.0,
    accuracy: float | None = None, prior: tuple[float, float] = PRIOR,
) -> CauseDraws:
    """Draws of the cause of every condemned tenure. The target: did not need replacing; a unit restarted by handling counts as healthy.

    n_draws: >= 1. seed: of the draws, from the settings when left out.
    odds_tested: odds of a true fault among tested over untested units, all else equal (1: who was tested tells nothing).
    accuracy: both sensitivity and specificity of every bench, known; drawn from the settings' priors when left out.
    prior: Beta parameters of the shops' needless share where counts alone are used.
    Fewer than 10 verdicts: `anchored` is False and there are no draws. From 30 verdicts with symptoms on: the logistic model;
    between, counts per shop on a grid. The same inputs and seed give the same draws, in whatever order the rows come.
    """
    return causes_of(histories.tenures, settings, n_draws=n_draws, seed=seed, odds_tested=odds_tested, accuracy=accuracy, prior=prior)


def causes_of(
    tenures: pd.DataFrame, settings: Settings, *, n_draws: int = N_DRAWS, seed: int | None = None, odds_tested: float = 1.0,
    accuracy: float | None = None, prior: tuple[float, float] = PRIOR,
) -> CauseDraws:
    """`draw_causes` of a table of tenures (tables.TENURES)."""
    condemned = tenures[tenures["ending"] == "condemned"].sort_values("tenure_id", kind="stable")
    tested, no_fault = verdicts(condemned["bench_outcome"])
    seed = settings.seed if seed is None else seed
    rng = np.random.default_rng(np.random.SeedSequence(seed))
    anchored = int(tested.sum()) >= FEWEST_VERDICTS
    chance, method = np.empty((0, len(condemned))), "no draws: fewer than 10 verdicts"
    if anchored:
        drawn, mean = _accuracy(condemned[tested], settings, n_draws, accuracy, rng)
        if _has_covariates(condemned, tested):
            method = "draws of a logistic model of the bench verdicts, counted"
            chance = need_probabilities(design(condemned), tested, no_fault, drawn, mean, odds_tested, rng)
        else:
            method = f"draws of shop shares from counts (beta-binomial, centre Beta({prior[0]:g}, {prior[1]:g})), counted"
            chance = causes_from_counts(shop_labels(condemned), tested, no_fault, drawn, odds_tested, rng, prior)
    return CauseDraws(
        tenure_ids=condemned["tenure_id"].to_numpy(dtype=str), shops=shop_labels(condemned), tested=tested, no_fault=no_fault,
        needless=rng.random(chance.shape) >= chance, probability_needless=1 - chance.mean(axis=0) if anchored else np.full(len(condemned), np.nan),
        anchored=anchored, odds_tested=odds_tested, method=method, seed=seed, cautions=_cautions(anchored, tested),
    )


def _cautions(anchored: bool, tested: np.ndarray) -> tuple[str, ...]:
    if anchored:
        return ()
    verdicts = int(tested.sum())
    told = "No condemned unit has" if not verdicts else "Only 1 condemned unit has" if verdicts == 1 else f"Only {verdicts} condemned units have"
    return (f"{told} a bench verdict; below {FEWEST_VERDICTS} no share of needless removals is estimated.",)


def _has_covariates(condemned: pd.DataFrame, tested: np.ndarray) -> bool:
    return int(tested.sum()) >= FEWEST_FOR_COVARIATES and bool(condemned["symptom_group"].notna().any())


def _accuracy(rows: pd.DataFrame, settings: Settings, n_draws: int, known: float | None, rng: np.random.Generator) -> tuple[Accuracy, Accuracy]:
    """Sensitivity and specificity of each verdict: drawn, (n_draws, n) each, and at their prior means, (n,) each."""
    codes, names = bench_codes(rows["bench"])
    if known is not None:
        flat = np.full((n_draws, len(rows)), known)
        return (flat, flat), (flat[0], flat[0])
    se, sp = draw_accuracy(names, settings, n_draws, rng)
    mean_se, mean_sp = mean_accuracy(names, settings)
    return (se[:, codes], sp[:, codes]), (mean_se[codes], mean_sp[codes])


def causes_from_counts(
    groups: np.ndarray, tested: np.ndarray, no_fault: np.ndarray, drawn: Accuracy, odds_tested: float, rng: np.random.Generator,
    prior: tuple[float, float] = PRIOR,
) -> np.ndarray:
    """(n_draws, n) chances of need from the counts of the groups (shops, senders) alone; a verdict then speaks for its own unit (Bayes).

    groups: (n,) names. tested, no_fault: (n,). drawn: sensitivity and specificity of every verdict, (n_draws, n_tested) each.
    """
    codes, names = pd.factorize(groups)
    counts = np.bincount(codes[tested], minlength=len(names)).astype(float)
    healthy = np.bincount(codes[no_fault], minlength=len(names)).astype(float)
    share = draw_shares(counts, healthy, drawn[0].mean(axis=1), drawn[1].mean(axis=1), rng, prior)[:, codes]
    odds = (1 - share) / share / np.where(tested, 1.0, odds_tested)
    need = odds / (1 + odds)
    need[:, tested] = after_verdict(need[:, tested], no_fault[tested], *drawn)
    return np.asarray(need)
