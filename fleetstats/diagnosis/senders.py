"""From a bench log alone: of the cores sent to this bench, how many were healthy, by sender."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.diagnosis.accuracy import bench_bounds, bench_codes, draw_accuracy, share_tested_only, verdicts
from fleetstats.diagnosis.audit import BENCH_ACCURACIES, counted_share
from fleetstats.diagnosis.causes import FEWEST_VERDICTS, N_DRAWS, causes_from_counts
from fleetstats.diagnosis.shares import SenderAudit, SenderShare, ShareIf
from fleetstats.errors import CannotAnswer, Problem
from fleetstats.settings import Settings

POPULATION = "cores sent to this bench"
METHOD = "draws of sender shares from counts (beta-binomial), counted over all cores"


def audit_senders(bench_tests: pd.DataFrame, settings: Settings) -> SenderAudit:
    """How many of the cores sent to the bench were healthy, overall and by sender; needs no visit.

    bench_tests: tables.BENCH_TESTS, one row per core received. Says nothing of units that were never sent.
    Raises CannotAnswer when the log is empty. Below 10 definite verdicts: bounds and counts, no corrected share.
    """
    if bench_tests.empty:
        raise CannotAnswer(Problem(what="the bench log is empty", remedy="Import a log with one row per core received."))
    log = bench_tests.sort_values("bench_test_id", kind="stable")
    senders = log["received_from"].fillna("unknown").to_numpy(dtype=str)
    tested, no_fault = verdicts(log["outcome"])
    anchored = int(tested.sum()) >= FEWEST_VERDICTS
    healthy = _draws(log, senders, settings, None) if anchored else None
    return SenderAudit(
        population=POPULATION, cores=len(log), tested=int(tested.sum()), no_fault=int(no_fault.sum()),
        tested_only=share_tested_only(int(no_fault.sum()), int(tested.sum()), settings.level) if anchored else None,
        corrected=None if healthy is None else counted_share(healthy, settings.level, METHOD),
        bounds=bench_bounds(log["outcome"], log["bench"], settings),
        by_sender=_by_sender(senders, tested, no_fault, healthy, settings.level),
        by_bench_accuracy=_by_accuracy(log, senders, settings) if anchored else (), cautions=_cautions(log, anchored),
    )


def _draws(log: pd.DataFrame, senders: np.ndarray, settings: Settings, known: float | None) -> np.ndarray:
    """(n_draws, n) True where a core is drawn healthy."""
    rng = np.random.default_rng(np.random.SeedSequence(settings.seed))
    tested, no_fault = verdicts(log["outcome"])
    codes, names = bench_codes(log["bench"][tested])
    se, sp = draw_accuracy(names, settings, N_DRAWS, rng)
    drawn = (se[:, codes], sp[:, codes]) if known is None else (np.full((N_DRAWS, len(codes)), known),) * 2
    need = causes_from_counts(senders, tested, no_fault, drawn, 1.0, rng)
    return np.asarray(rng.random(need.shape) >= need)


def _by_sender(senders: np.ndarray, tested: np.ndarray, no_fault: np.ndarray, healthy: np.ndarray | None, level: float) -> tuple[SenderShare, ...]:
    codes, names = pd.factorize(senders)
    order = np.argsort(-np.bincount(codes, minlength=len(names)), kind="stable")
    return tuple(
        SenderShare(sender=str(names[code]), cores=int((own := codes == code).sum()), tested=int(tested[own].sum()), no_fault=int(no_fault[own].sum()),
                    corrected=None if healthy is None else counted_share(healthy[:, own], level, METHOD))
        for code in order
    )


def _by_accuracy(log: pd.DataFrame, senders: np.ndarray, settings: Settings) -> tuple[ShareIf, ...]:
    draws = {a: _draws(log, senders, settings, a) for a in BENCH_ACCURACIES}
    text = "if the bench is right in {:.0f} % of cases"
    return tuple(ShareIf(assumption=text.format(100 * a), value=a, share=counted_share(d, settings.level, METHOD)) for a, d in draws.items())


def _cautions(log: pd.DataFrame, anchored: bool) -> tuple[str, ...]:
    notes = ["Counts cores sent to this bench only; units that were scrapped or kept elsewhere are not among them."]
    if not anchored:
        notes.append(f"Fewer than {FEWEST_VERDICTS} definite verdicts: counts and bounds only.")
    blind = int((log["blind"] == True).fillna(False).sum())  # noqa: E712 (a nullable column: missing is not blind)
    notes.append(f"The tester did not know the claim in {blind} of {len(log)} cases, as far as is recorded.")
    return tuple(notes)
