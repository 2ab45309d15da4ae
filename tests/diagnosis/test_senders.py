"""A bench log alone."""

import numpy as np
import pandas as pd
import pytest

from fleetstats import tables
from fleetstats.diagnosis import audit_senders
from fleetstats.diagnosis.funnel import funnel_of
from fleetstats.errors import CannotAnswer
from tests.life.simulated import SETTINGS


def log_of(counts):
    """A log from {sender: (fault confirmed, no fault found, never run)}."""
    rows = [(s, o) for s, (f, h, u) in counts.items() for o in f * ["fault confirmed"] + h * ["no fault found"] + u * [pd.NA]]
    frame = pd.DataFrame(rows, columns=["received_from", "outcome"])
    return tables.BENCH_TESTS.check(frame.assign(bench_test_id=[f"b{i}" for i in range(len(rows))], bench="the bench"))


def test_counts_and_corrected_shares_by_sender():
    """Two senders, 40 cores each, 10 and 30 of 36 without fault: counts as in the log, shares in that order, population named."""
    audit = audit_senders(log_of({"north": (26, 10, 4), "south": (6, 30, 4)}), SETTINGS)
    rows = {r.sender: r for r in audit.by_sender}
    assert (rows["north"].cores, rows["north"].tested, rows["north"].no_fault) == (40, 36, 10)
    assert rows["north"].corrected.estimate < 0.4 < 0.6 < rows["south"].corrected.estimate
    assert audit.population == "cores sent to this bench"
    assert audit.bounds.lower <= audit.corrected.estimate <= audit.bounds.upper
    assert audit.corrected.lower < 40 / 80 < audit.corrected.upper


def test_a_short_log_gives_counts_and_bounds_only():
    """9 verdicts: no share; the counts stand."""
    audit = audit_senders(log_of({"north": (5, 4, 3)}), SETTINGS)
    assert audit.corrected is None
    assert audit.tested_only is None
    assert (audit.cores, audit.tested, audit.no_fault) == (12, 9, 4)


def test_an_empty_log_is_refused():
    """Nothing in, no answer out."""
    with pytest.raises(CannotAnswer, match="empty"):
        audit_senders(tables.BENCH_TESTS.empty(), SETTINGS)


def test_funnel_limits_of_two_shops_by_hand():
    """20 verdicts each, 2 and 14 without fault, pooled .4: with 2.5 % per tail binomial(20, .4) lies in 4..12, so one is below, one above."""
    shops = np.repeat(["a", "b"], 20)
    no_fault = np.concatenate([np.arange(20) < 2, np.arange(20) < 14])
    funnel = funnel_of(shops, np.ones(40, bool), no_fault, 0.90)
    assert funnel.pooled == pytest.approx(0.4)
    assert {p.shop: (p.limit_lower, p.limit_upper, p.place) for p in funnel.points} == {"a": (0.2, 0.6, "below"), "b": (0.2, 0.6, "above")}
