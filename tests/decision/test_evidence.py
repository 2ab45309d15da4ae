"""Evidence for one unit: hand arithmetic, full enumeration of the joint table, and properties of the fixed table."""

import hashlib
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import expit

import fleetstats.decision.modes as modes_module
from fleetstats.decision.evidence import (
    class_log_odds,
    log_odds,
    mode_posterior,
    prior_log_odds,
    prior_log_odds_inspection,
    waterfall,
    weigh,
)
from fleetstats.decision.modes import FindingRow, ModeTable, mode_table
from fleetstats.errors import InputRefused

CELLS = {"one_source": [.03, .03, .75, .20], "watts": [.05, .06, .90, .05], "pattern": [.40, .80, .10, .15], "run": [.96, .95, .12, .45]}
MODES = ("LEAK", "BLOCK", "AC", "AIR")
ROWS = tuple(
    FindingRow(name=n, checks=[n], bad=n, good=n, used=True, direction="", cells={m: (q, "") for m, q in zip(MODES, c, strict=True)}) for n, c in CELLS.items()
)
SMALL = ModeTable(
    modes=MODES, inside=np.array([True, True, False, False]), shares=np.array([.35, .65, .6, .4]), rows=ROWS, bad_given_mode=np.array(list(CELLS.values())),
)
PRIOR = -1.3428146
FOUND = [(2, True), (1, False), (3, True)]


def test_prior_odds_by_hand():
    """Weibull 1.8, 14 y at 6 y: hazard (1.8/14)(6/14)^0.8 = 0.065277; against 0.25 a year odds 0.261110, p 0.207048, logit -1.342815; and for
    a condemned unit, seen .95, needless .25 of the outside faults: odds 0.992217, p 0.498047."""
    hazard = 1.8 / 14 * (6 / 14) ** 0.8
    assert hazard == pytest.approx(0.065277, abs=5e-7)
    odds = prior_log_odds(hazard, 0.25)
    assert np.exp(odds) == pytest.approx(0.261110, abs=5e-7)
    assert odds == pytest.approx(-1.342815, abs=5e-7)
    assert expit(odds) == pytest.approx(0.207048, abs=5e-7)
    condemned = prior_log_odds(hazard * 0.95, 0.25 * 0.25)
    assert np.exp(condemned) == pytest.approx(0.992217, abs=5e-7)
    assert expit(condemned) == pytest.approx(0.498047, abs=5e-7)


def test_inspection_odds_of_a_short_gap_are_the_ratio_of_hazards():
    """Limiting case: as the time since the last good look shrinks, the odds of exactly one of two events become the ratio of their hazards."""
    assert prior_log_odds_inspection(3e-7, 2e-7) == pytest.approx(np.log(1.5), abs=1e-6)
    one_f, one_h = (1 - np.exp(-.4)) * np.exp(-.3), (1 - np.exp(-.3)) * np.exp(-.4)
    assert prior_log_odds_inspection(.4, .3) == pytest.approx(np.log(one_f / one_h))


def test_waterfall_and_leaving_one_out():
    """Worked by two independent computations (sequential updates; enumeration of the joint table of 4 modes and 16 results)."""
    steps = waterfall(PRIOR, SMALL, FOUND)
    assert [s.contribution for s in steps] == pytest.approx([1.704748, 0.584736, 0.821863], abs=1e-6)
    assert [s.log_odds for s in steps] == pytest.approx([0.361934, 0.946669, 1.768533], abs=1e-6)
    assert [s.probability for s in steps] == pytest.approx([0.589508, 0.720445, 0.854275], abs=1e-6)
    assert [s.without for s in steps] == pytest.approx([1.492248, 0.200396, 0.821863], abs=1e-6)
    assert mode_posterior(PRIOR, SMALL, FOUND) == pytest.approx([.184234, .670041, .003979, .141746], abs=1e-6)


def test_waterfall_against_enumeration_of_the_joint_table():
    """The second computation done here: every mode with every pattern of the four results, added up where the pattern agrees with what was found."""
    p = expit(PRIOR)
    prior = np.array([p * .35, p * .65, (1 - p) * .6, (1 - p) * .4])
    joint = np.zeros(4)
    for pattern in product([True, False], repeat=4):
        if all(pattern[row] == bad for row, bad in FOUND):
            joint += prior * np.prod([SMALL.bad_given_mode[r] if bad else 1 - SMALL.bad_given_mode[r] for r, bad in enumerate(pattern)], axis=0)
    assert joint / joint.sum() == pytest.approx(mode_posterior(PRIOR, SMALL, FOUND))


def test_one_mode_per_class_is_the_product_of_likelihood_ratios():
    """Limiting case: with one rate per class the mode model is naive Bayes; here it counts watts and run test twice (2.455465, p 0.920960)."""
    rates = np.stack([SMALL.bad_given_mode[:, :2] @ [.35, .65], SMALL.bad_given_mode[:, 2:] @ [.6, .4]], axis=1)
    added = class_log_odds(np.ones(2), rates, FOUND, np.array([True, False]))
    assert PRIOR + added == pytest.approx(2.455465, abs=1e-6)
    assert expit(PRIOR + added) == pytest.approx(0.920960, abs=1e-6)


def test_findings_add_up_and_order_does_not_matter():
    """The contributions add up to the whole evidence in any order of recording."""
    for order in ([0, 1, 2], [2, 0, 1], [1, 2, 0]):
        steps = waterfall(PRIOR, SMALL, [FOUND[i] for i in order])
        assert sum(s.contribution for s in steps) == pytest.approx(3.111348, abs=1e-6)


def test_cools_well_on_one_source_is_strongly_against():
    """Trade rule: good on one source means a good unit with few exceptions; a smell means a leak near certainly."""
    table = mode_table()
    index = {row.name: i for i, row in enumerate(table.rows)}
    assert table.findings({"C18": "pass"}) == [(index["one_source"], True)]
    assert class_log_odds(table.shares, table.bad_given_mode, table.findings({"C18": "pass"}), table.inside) < -2
    assert class_log_odds(table.shares, table.bad_given_mode, table.findings({"C18": "fail"}), table.inside) > 0
    assert class_log_odds(table.shares, table.bad_given_mode, [(index["smell"], True)], table.inside) > 3


def test_complaint_moves_the_outside_modes_only():
    """A complaint on one source changes which outside fault is likely, not the odds of a true failure before any check."""
    plain, mains = mode_table(), mode_table("SYM_NOCOOL_AC")
    assert class_log_odds(mains.shares, mains.bad_given_mode, [], mains.inside) == pytest.approx(0, abs=1e-12)
    assert mains.shares[plain.modes.index("AC")] > 2 * plain.shares[plain.modes.index("AC")]


def test_ambient_is_not_a_finding_of_the_unit():
    """The check of the surroundings (C04) is off: the same findings on a hot day say the same of the unit."""
    table = mode_table()
    assert table.findings({"C17": "fail"}) == table.findings({"C17": "fail", "C04": "fail"})


def test_two_checks_of_one_row_count_once():
    """Low volts and low watts are one finding about mains heat, bad when either is."""
    table = mode_table()
    assert table.findings({"C08": "pass", "C09": "fail"}) == table.findings({"C09": "fail"})
    assert table.findings({"C09": "done"}) == []


def test_weighing_leaves_the_table_as_it_is():
    """No use of the table changes a cell of it, in memory or in the file."""
    path = Path(modes_module.__file__).with_name("modes.toml")
    before, table = hashlib.sha256(path.read_bytes()).hexdigest(), mode_table()
    cells = table.bad_given_mode.copy()
    weigh(np.full(101, PRIOR), table, table.findings({"C17": "fail", "C18": "pass"}), basis="", level=.9, rng=np.random.default_rng(1))
    assert (table.bad_given_mode == cells).all()
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before


@pytest.mark.parametrize("p", [0.0, 1.0, -.1, 1.5])
def test_certainty_is_refused(p):
    """A probability of 0 or 1 cannot be weighed against money."""
    with pytest.raises(InputRefused, match="0 < p < 1"):
        log_odds(p)


@settings(max_examples=30, deadline=None)
@given(st.dictionaries(st.sampled_from(["C01", "C03", "C05", "C06", "C09", "C11", "C16", "C17", "C18", "C19"]), st.sampled_from(["pass", "fail"])))
def test_probability_stays_a_probability(outcomes):
    """Whatever is found, point and interval lie within 0 and 1, the modes add up to 1, and the inside modes to the point."""
    table = mode_table()
    evidence, draws = weigh(np.full(201, PRIOR), table, table.findings(outcomes), basis="", level=.9, rng=np.random.default_rng(1))
    p = evidence.probability
    assert 0 < p.lower < p.upper < 1
    assert sum(evidence.modes.values()) == pytest.approx(1)
    assert sum(share for mode, share in evidence.modes.items() if mode in ("LEAK", "BLOCK", "GAS")) == pytest.approx(p.estimate)
    assert len(draws) == 201
