"""Draws of the cause and the audit counted on them."""

import numpy as np
import pytest

from fleetstats import tables
from fleetstats.diagnosis import audit_removals, draw_causes
from fleetstats.diagnosis.anchored import need_probabilities
from fleetstats.diagnosis.design import Design
from fleetstats.errors import CannotAnswer
from tests.life.simulated import SETTINGS, Truth, histories_of, simulate

NO_LOG = tables.BENCH_TESTS.empty()
FLEET = simulate(700, 11)
CAUSES = draw_causes(FLEET.histories, SETTINGS)


def with_tenures(change):
    """The fleet's histories after `change` of a copy of its tenures."""
    frame = FLEET.histories.tenures.copy()
    change(frame)
    return histories_of(frame)


def keep_tests(frame, n):
    """Leave the first `n` definite bench verdicts only."""
    definite = frame["bench_outcome"].isin(["fault confirmed", "no fault found"])
    later = frame.index[frame["bench_outcome"].notna() & ~frame.index.isin(frame.index[definite][:n])]
    frame.loc[later, ["bench_outcome", "bench"]] = None


def test_the_same_seed_gives_the_same_draws_in_any_order_of_rows():
    """Draws depend on the tenures, not on the order in which they stand, and another seed gives others."""
    shuffled = histories_of(FLEET.histories.tenures.sample(frac=1, random_state=3).reset_index(drop=True))
    again = draw_causes(shuffled, SETTINGS)
    assert np.array_equal(again.needless, CAUSES.needless)
    assert np.array_equal(again.tenure_ids, CAUSES.tenure_ids)
    assert not np.array_equal(draw_causes(FLEET.histories, SETTINGS, seed=5).needless, CAUSES.needless)


def test_names_of_shops_carry_no_weight():
    """Exchanging the names of the shops changes no draw."""
    renamed = with_tenures(lambda f: f.__setitem__("shop", f["shop"].map(lambda s: f"{9 - int(s[-1])} yard").astype("string")))
    assert np.array_equal(draw_causes(renamed, SETTINGS).needless, CAUSES.needless)


def test_the_share_lies_near_the_truth_and_a_verdict_outweighs_all_else():
    """Simulated truth: the corrected share covers it; benched units follow their verdict in more than 80 % of the draws."""
    truth = np.array([FLEET.needless[name] for name in CAUSES.tenure_ids])
    share = audit_removals(FLEET.histories, CAUSES, NO_LOG, SETTINGS).needless_share.corrected
    assert share.lower <= truth.mean() <= share.upper
    assert CAUSES.needless[:, CAUSES.no_fault].mean() > 0.8
    assert CAUSES.needless[:, CAUSES.tested & ~CAUSES.no_fault].mean() < 0.2


def test_fewer_than_ten_verdicts_anchor_nothing():
    """9 verdicts: no draw, no share, no interval; bounds and three named scenarios. 10 verdicts: a share."""
    nine = with_tenures(lambda f: keep_tests(f, 9))
    causes = draw_causes(nine, SETTINGS)
    audit = audit_removals(nine, causes, NO_LOG, SETTINGS)
    assert not causes.anchored
    assert causes.n_draws == 0
    share = audit.needless_share
    assert (share.tested_only, share.corrected, share.corrected_all_shops) == (None, None, None)
    assert [s.value for s in audit.scenarios] == [0.1, 0.3, 0.5]
    assert all(s.share.lower is None for s in audit.scenarios)
    assert share.bounds.upper - share.bounds.lower > 0.8
    assert audit.funnel is None
    assert all(row.corrected is None and row.by_bench is None for row in audit.by_shop), "no share of a shop either"
    assert sum(row.tested for row in audit.by_shop) == 9
    ten = with_tenures(lambda f: keep_tests(f, 10))
    assert audit_removals(ten, draw_causes(ten, SETTINGS), NO_LOG, SETTINGS).needless_share.corrected is not None


def test_between_ten_and_thirty_verdicts_counts_alone_are_used_and_the_flat_prior_is_shown():
    """25 verdicts: shares of shops from counts, and the result under Beta(1, 1) beside it."""
    some = with_tenures(lambda f: keep_tests(f, 25))
    causes = draw_causes(some, SETTINGS)
    audit = audit_removals(some, causes, NO_LOG, SETTINGS)
    assert "beta-binomial" in causes.method
    assert len(audit.by_prior) == 1
    assert audit.by_prior[0].share.estimate != audit.needless_share.corrected.estimate


def test_who_was_tested_moves_the_share_the_way_it_must():
    """If true faults are twice as likely to be tested, the untested hold more healthy units; half as likely, fewer; 1 is the headline."""
    audit = audit_removals(FLEET.histories, CAUSES, NO_LOG, SETTINGS)
    half, one, double = (row.share.estimate for row in audit.by_odds_tested)
    assert half < one < double
    assert one == audit.needless_share.corrected.estimate


def test_a_worse_bench_explains_some_of_its_no_fault_verdicts():
    """The share with the bench right in 90 % is below that with 99 %: with few healthy units most of its errors make healthy ones."""
    ninety, sure = (row.share.estimate for row in audit_removals(FLEET.histories, CAUSES, NO_LOG, SETTINGS).by_bench_accuracy)
    assert ninety < sure


def test_shops_that_never_bench_are_left_out_of_the_headline_and_drawn_wider():
    """Two shops without a bench: said in a caution, marked as borrowed, and no narrower per unit than the others."""
    fleet = simulate(900, 4, Truth(untested_shops=2))
    causes = draw_causes(fleet.histories, SETTINGS)
    audit = audit_removals(fleet.histories, causes, NO_LOG, SETTINGS)
    borrowed = [row for row in audit.by_shop if row.note]
    assert {row.shop for row in borrowed} == {"shop 0", "shop 1"}
    assert sum(row.condemned for row in borrowed) == audit.condemned_never_benched
    assert any("never bench" in text for text in audit.cautions)
    widths = {row.shop: row.corrected.upper - row.corrected.lower for row in audit.by_shop}
    assert min(widths[row.shop] for row in borrowed) > max(widths[row.shop] for row in audit.by_shop if row.tested >= 20)


def test_a_shop_without_a_bench_is_drawn_with_a_spread_of_one_and_a_half():
    """200 verdicts at two alike shops, a third shop with none: over 2,000 draws its chances differ on the logit scale by a spread of 1.5 or a little more."""
    rows = Design(matrix=np.ones((210, 1)), prior_mean=np.zeros(1), prior_sd=np.full(1, 2.5), names=("level",), shop=np.repeat([0, 1, 2], [100, 100, 10]),
                  shop_names=np.array(["a", "b", "c"]))
    tested, no_fault = rows.shop < 2, (np.arange(210) % 4 == 0) & (rows.shop < 2)
    right = np.full((2_000, 200), 0.97)
    chance = need_probabilities(rows, tested, no_fault, (right, right), (right[0], right[0]), 1.0, np.random.default_rng(7))[:, -1]
    assert 1.4 < np.std(np.log(chance / (1 - chance))) < 1.9


def test_no_shop_with_twenty_verdicts_leaves_the_interval_of_its_own_bench():
    """The bench is the anchor: Rogan-Gladen of its own counts, bench at .90 and .99, holds the corrected share of every such shop."""
    rows = [r for seed in range(3) for r in audit_of(seed).by_shop if r.tested >= 20]
    assert len(rows) >= 5
    assert all(r.by_bench.lower <= r.corrected.estimate <= r.by_bench.upper for r in rows)


def audit_of(seed):
    fleet = simulate(900, 100 + seed)
    return audit_removals(fleet.histories, draw_causes(fleet.histories, SETTINGS, seed=seed), NO_LOG, SETTINGS)


def test_nothing_condemned_is_no_question():
    """Without a condemned unit there is no share, and the error says what would be needed."""
    quiet = with_tenures(lambda f: f.__setitem__("ending", "in service"))
    with pytest.raises(CannotAnswer, match="condemned"):
        audit_removals(quiet, draw_causes(quiet, SETTINGS), NO_LOG, SETTINGS)


def test_counts_of_the_audit_add_up():
    """Condemned, tested and no-fault over shops are those of the fleet; the funnel holds the tested ones."""
    audit = audit_removals(FLEET.histories, CAUSES, NO_LOG, SETTINGS)
    assert sum(r.condemned for r in audit.by_shop) == audit.condemned == len(FLEET.needless)
    assert sum(r.tested for r in audit.by_shop) == audit.tested == sum(p.tested for p in audit.funnel.points)
    assert audit.to_dict()["needless_share"]["bounds"].keys() == {"lower", "upper"}


def test_a_cluster_of_one_wide_symptom_does_not_break_the_model():
    """All leaking units confirmed, a separated column: the penalised fit still gives finite chances."""
    leaky = with_tenures(lambda f: f.__setitem__("bench_outcome", f["bench_outcome"].mask(f["symptom_group"] == "leak", "fault confirmed")))
    chances = draw_causes(leaky, SETTINGS).probability_needless
    assert np.isfinite(chances).all()
    assert ((chances >= 0) & (chances <= 1)).all()


@pytest.mark.parametrize(("verdict", "least", "most"), [("fault confirmed", 0.0, 0.25), ("no fault found", 0.75, 1.0)])
def test_verdicts_all_alike_do_not_let_the_level_run_away(verdict, least, most):
    """Every bench verdict the same: the share of needless removals stays at that end in every draw, it does not flip between all and none."""
    alike = with_tenures(lambda f: f.__setitem__("bench_outcome", f["bench_outcome"].where(f["bench_outcome"].isna(), verdict)))
    shares = draw_causes(alike, SETTINGS).needless.mean(axis=1)
    assert least <= np.quantile(shares, 0.05)
    assert np.quantile(shares, 0.95) <= most
