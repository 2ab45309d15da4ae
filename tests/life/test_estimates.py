"""Lives by origin: near the truth, honest about what is not known, refused where they must be."""

import numpy as np
import pandas as pd
import pytest

from fleetstats.diagnosis import draw_causes
from fleetstats.life import estimate_life
from fleetstats.life.regression import covariates_of
from fleetstats.life.reporting import age_estimate
from tests.life.simulated import SETTINGS, histories_of, simulate

FLEET = simulate(1100, 21)
CAUSES = draw_causes(FLEET.histories, SETTINGS)
LIVES = estimate_life(FLEET.histories, CAUSES, SETTINGS)


def without_tests(frame, left=0):
    """The tenures with the first `left` bench outcomes only."""
    frame = frame.copy()
    frame.loc[frame.index[frame["bench_outcome"].notna()][left:], ["bench_outcome", "bench"]] = None
    return histories_of(frame)


def test_the_corrected_life_covers_the_truth_and_the_recorded_one_does_not():
    """Simulated truth: intervals of the corrected B10 and B50 of new units hold it; as recorded, B10 comes out more than 15 % low."""
    corrected, recorded = LIVES.population("new", "corrected"), LIVES.population("new", "as_recorded")
    b10, b50 = FLEET.quantiles["new", 0.1], FLEET.quantiles["new", 0.5]
    assert corrected.b10_years.lower <= b10 <= corrected.b10_years.upper
    assert corrected.b50_years.lower <= b50 <= corrected.b50_years.upper
    assert recorded.b10_years.estimate < 0.85 * b10
    assert recorded.failures > corrected.failures


def test_intervals_hold_the_truth_about_as_often_as_they_say():
    """12 small fleets: 24 intervals of B10 and B50 of new units; a right 90 % interval misses 6 or more of 24 with probability .03, 8 with .002."""
    misses = 0
    for seed in range(12):
        fleet = simulate(350, 300 + seed)
        life = estimate_life(fleet.histories, draw_causes(fleet.histories, SETTINGS, seed=seed), SETTINGS).population("new", "corrected")
        for name, share in (("b10_years", 0.1), ("b50_years", 0.5)):
            interval, truth = getattr(life, name), fleet.quantiles["new", share]
            misses += not (interval.lower <= truth and (interval.upper is None or truth <= interval.upper))
    assert misses < 8


def test_all_numbers_are_json_and_one_row_per_quantity():
    """The result as data: population fields as named, no draws, no NaN."""
    data = LIVES.to_dict()
    assert {"origin", "basis", "failures", "reference", "shape", "scale_years", "b10_years", "b50_years"} <= data["populations"][0].keys()
    assert data["populations"][0]["shape"].keys() == {"estimate", "lower", "upper", "level", "method", "unit"}
    assert len(LIVES.table()) == 4 * len(LIVES.populations)


def test_without_an_anchor_no_corrected_life_is_said():
    """No bench test: recorded lives, conditional lives under 10, 30 and 50 % without any interval, no model, and the reason."""
    bare = without_tests(FLEET.histories.tenures)
    lives = estimate_life(bare, draw_causes(bare, SETTINGS), SETTINGS)
    assert {p.basis for p in lives.populations} == {"as_recorded"}
    assert lives.model is None
    assert any("bench verdicts" in text for text in lives.refused)
    assert {p.assumption for p in lives.conditional} == {f"if {s} of the condemned units were healthy, whichever" for s in ("10 %", "30 %", "50 %")}
    assert all(p.b10_years.lower is None and p.b10_years.upper is None for p in lives.conditional)
    b10 = [p.b10_years.estimate for p in lives.conditional if p.origin == "new"]
    assert b10 == sorted(b10), "the more removals were needless, the longer the life"


def test_few_failures_give_a_rate_and_no_life():
    """A handful of true failures: no Weibull, a Poisson rate whose interval holds failures over exposure."""
    frame = FLEET.histories.tenures.copy()
    condemned = frame.index[(frame["ending"] == "condemned")]
    verdict = frame.loc[condemned, "bench_outcome"]
    kept = [*condemned[verdict == "no fault found"][:12], *condemned[verdict == "fault confirmed"][:3]]
    frame.loc[condemned.difference(kept), ["ending", "bench_outcome", "bench"]] = ["left fleet", None, None]
    few = histories_of(frame)
    lives = estimate_life(few, draw_causes(few, SETTINGS), SETTINGS)
    assert lives.model is None
    assert all(p.basis == "as_recorded" for p in lives.populations)
    exposure = float((frame["ended_years"] - frame["entered_years"]).sum())
    assert lives.failure_rate.lower < 4 / exposure < lives.failure_rate.upper
    assert lives.failure_rate.upper < 12 / exposure


def test_an_origin_with_few_failures_borrows_the_shape_and_says_so():
    """Reconditioned units mostly taken out: one shape for both, caution, no point of B10."""
    frame = FLEET.histories.tenures
    few = frame["origin"] == "reconditioned"
    histories = histories_of(frame[~few | (few.cumsum() <= 25)].reset_index(drop=True))
    lives = estimate_life(histories, draw_causes(histories, SETTINGS), SETTINGS)
    reconditioned, new = lives.population("reconditioned", "corrected"), lives.population("new", "corrected")
    assert reconditioned.shape.estimate == pytest.approx(new.shape.estimate)
    assert reconditioned.b10_years.estimate is None
    assert any("share one shape" in text for text in reconditioned.cautions)


def test_a_scale_known_to_a_factor_of_four_only_has_no_point():
    """The scale is the age by which 63.2 % would have failed: with two reconditioned units its interval stands alone, that of new units has a point."""
    frame = FLEET.histories.tenures
    few = frame["origin"] == "reconditioned"
    histories = histories_of(frame[~few | (few.cumsum() <= 2)].reset_index(drop=True))
    lives = estimate_life(histories, draw_causes(histories, SETTINGS), SETTINGS)
    scale = lives.population("reconditioned", "corrected").scale_years
    assert scale.upper > 4 * scale.lower > 0
    assert scale.estimate is None
    assert lives.population("new", "corrected").scale_years.estimate is not None


def test_the_recorded_life_of_few_reconditioned_units_has_no_point_of_b10_either():
    """Between 10 and 30 condemned reconditioned units: an interval only; the other numbers stand."""
    frame = FLEET.histories.tenures
    few = frame["origin"] == "reconditioned"
    condemned = (few & (frame["ending"] == "condemned")).cumsum()
    histories = histories_of(frame[~few | (condemned <= 25)].reset_index(drop=True))
    recorded = estimate_life(histories, draw_causes(histories, SETTINGS), SETTINGS).population("reconditioned", "as_recorded")
    assert 10 <= recorded.failures < 30
    assert recorded.b10_years.estimate is None
    assert 0 < recorded.b10_years.lower < recorded.b10_years.upper


@pytest.mark.parametrize(("hot_failures", "effect"), [(9.0, False), (12.0, True)])
def test_an_effect_needs_ten_expected_failures(hot_failures, effect):
    """20 units of a rare size, 20 hot ones, all condemned: an effect is estimated where the chances of a true failure add up to 10, not 9."""
    frame = FLEET.histories.tenures.head(120).assign(
        size_l=[110.0] * 100 + [190.0] * 20, hot=pd.array([False] * 100 + [True] * 20, dtype="boolean"))
    covariates = covariates_of(frame, np.array([0.5] * 100 + [hot_failures / 20] * 20))
    assert covariates.hot == effect
    assert covariates.sizes == (("190",) if effect else ())
    assert covariates.reference_size == "110"


def test_units_of_unknown_origin_are_left_out_and_counted():
    """Ten tenures without an origin: said, and not part of either population."""
    frame = FLEET.histories.tenures.copy()
    frame.loc[frame.index[:10], "origin"] = "unknown"
    histories = histories_of(frame)
    lives = estimate_life(histories, draw_causes(histories, SETTINGS), SETTINGS)
    assert any(text.startswith("10 of") for text in lives.cautions)


@pytest.mark.parametrize(("ends", "wanted"), [
    ((3.0, 2.0, 4.0), (3.0, 2.0, 4.0)),
    ((3.0, 1.0, 4.1), (None, 1.0, 4.1)),
    ((9.0, 7.0, 12.0), (None, 7.0, 12.0)),
    ((9.0, 8.5, 12.0), (None, 8.0, None)),
    ((None, None, None), (None, 8.0, None)),
    ((7.0, 6.0, None), (None, 6.0, None)),
])
def test_what_may_be_said_of_an_age_observed_to_eight_years(ends, wanted):
    """A point only within the ages seen and with ends within a factor 4; only '> 8' where even the lower end lies beyond."""
    made = age_estimate(ends, 8.0, 0.9, "test")
    assert (made.estimate, made.lower, made.upper) == wanted


def test_nothing_is_said_of_an_age_where_ten_units_were_never_seen():
    """'More than 0 years' is no answer."""
    made = age_estimate((3.0, 2.0, 4.0), 0.0, 0.9, "test")
    assert (made.estimate, made.lower, made.upper) == (None, None, None)


def test_no_rate_is_promised_where_nothing_was_observed():
    """All origins unknown: no life, no rate, and no word of one."""
    histories = histories_of(FLEET.histories.tenures.assign(origin="unknown"))
    lives = estimate_life(histories, draw_causes(histories, SETTINGS), SETTINGS)
    assert (lives.populations, lives.model, lives.failure_rate) == ((), None, None)
    assert not any("a rate is given" in text for text in lives.refused)


def test_lives_repeat_with_their_seed():
    """The same causes give the same lives, digit for digit."""
    again = estimate_life(FLEET.histories, CAUSES, SETTINGS)
    assert again.to_dict() == LIVES.to_dict()
    assert np.array_equal(again.model.point, LIVES.model.point)


def test_without_any_life_a_removal_rate_with_its_exposure_is_said():
    """A small fleet without verdicts: fewer than 10 removals of either origin give no life; the rate is condemned units over the years watched, Poisson."""
    tenures = FLEET.histories.tenures
    few = pd.concat([tenures[tenures["ending"] == "condemned"].head(6), tenures[tenures["ending"] != "condemned"].head(40)], ignore_index=True)
    few = few.assign(bench_outcome=pd.Series(pd.NA, index=few.index, dtype="string"))
    histories = histories_of(few)
    lives = estimate_life(histories, draw_causes(histories, SETTINGS), SETTINGS)
    seen = few[few["entered_years"] < few["ended_years"]]
    years = float((seen["ended_years"] - seen["entered_years"]).sum())
    assert lives.populations == ()
    assert lives.failure_rate is None
    assert lives.removal_rate.estimate == pytest.approx((seen["ending"] == "condemned").sum() / years)
    assert lives.removal_rate.lower < lives.removal_rate.estimate < lives.removal_rate.upper
    assert estimate_life(FLEET.histories, draw_causes(FLEET.histories, SETTINGS), SETTINGS).removal_rate is None
