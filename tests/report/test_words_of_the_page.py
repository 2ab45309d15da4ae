"""Prose, summary and the list of what can be answered, from results made by hand."""

import dataclasses
import datetime as dt

import pandas as pd
import pytest

from fleetstats.diagnosis import Bounds, NeedlessShare, RemovalAudit, SenderAudit, ShareIf
from fleetstats.life import LifeEstimates, LifePopulation
from fleetstats.records import Fleet, still_open
from fleetstats.report import Answer, answerable, summary_lines
from fleetstats.report.prose import paragraphs, sensitivities, words_of_tests
from fleetstats.report.quarterly import ANSWERED, BOUNDS, CANNOT_SAY
from fleetstats.report.waiting import not_taken_as_open, open_visits
from fleetstats.results import Estimate
from fleetstats.settings import Settings
from fleetstats.tables import VISITS
from tests.figures.made import FILES, decision
from tests.report.made import quarterly


def estimate(point, lower, upper, unit="share"):
    return Estimate(estimate=point, lower=lower, upper=upper, level=0.9, method="by hand", unit=unit)


def audit(*, anchored: bool) -> RemovalAudit:
    share = estimate(0.31, 0.24, 0.38) if anchored else None
    return RemovalAudit(
        condemned=118, tested=41 if anchored else 4, no_fault=14 if anchored else 1, condemned_never_benched=18, anchored=anchored,
        needless_share=NeedlessShare(tested_only=share, corrected=share, corrected_all_shops=share, method="by hand", bounds=Bounds(lower=0.1, upper=0.7)),
        by_shop=(), by_bench_accuracy=(ShareIf(assumption="if", value=0.9, share=estimate(0.25, 0.2, 0.3)),) if anchored else (), by_odds_tested=(),
        by_prior=(), scenarios=(), funnel=None,
    )


def population(origin: str, basis: str, b10: Estimate) -> LifePopulation:
    one = estimate(1.8, 1.5, 2.1, "")
    return LifePopulation(origin=origin, basis=basis, failures=50, reference="all", shape=one, scale_years=one, b10_years=b10, b50_years=b10)


def lives(*populations: LifePopulation) -> LifeEstimates:
    return LifeEstimates(populations=populations, conditional=(), failure_rate=None, model=None, refused=())


def test_the_audit_in_words_holds_share_interval_and_counts():
    """31 % (24 to 38) of the 100 units of shops that bench: 24 to 38 units; what a worse bench would give stands beside it."""
    told = " ".join(sentence.text for sentence in paragraphs(quarterly(audit=audit(anchored=True)))["For the shop owner"])
    assert "31.0 % (24.0 to 38.0) of the 100 condemned by shops that bench were healthy, that is 24 to 38 units" in told
    assert "nine of ten cases it would be 25.0 % (20.0 to 30.0)" in told


def test_the_assumption_of_the_headline_is_not_repeated():
    """With the odds of the headline itself the row would say it again; the others stay."""
    same, other = estimate(0.31, 0.24, 0.38), estimate(0.4, 0.3, 0.5)
    made = dataclasses.replace(audit(anchored=True), by_odds_tested=(ShareIf(assumption="1", value=1.0, share=same), ShareIf(assumption="2", value=2.0,
                                                                                                                            share=other)))
    assert [row.assumption for row in sensitivities(made)] == ["if", "2"]


@pytest.mark.parametrize(("rows", "times", "told"), [
    ([0, 0], [], "every row is accounted for, none was refused."), ([1, 0], [], "1 was refused."),
    ([0, 0], [3, 2], "none was refused, 5 cells that could not be used were left empty."),
])
def test_refused_rows_and_cells_are_both_told(rows, times, told):
    """A cell left empty is no refused row, and not to be passed over."""
    rejects = pd.DataFrame({"file": "one.csv", "column": "In", "what": "no date", "scope": "cell", "times": times})
    made = quarterly(files=FILES.assign(rejected=rows), rejects=rejects)
    assert told in paragraphs(made)["For the analyst"][0].text


@pytest.mark.parametrize(("tested", "ran", "told"), [
    (0, 0, "none was tested on a bench"), (1, 1, "1 was tested on a bench and 1 of those ran"), (4, 0, "4 were tested on a bench and none of those ran"),
])
def test_counts_of_tests_are_said_as_a_person_would(tested, ran, told):
    """No 'of which 0 and 0 of those'."""
    assert words_of_tests(dataclasses.replace(audit(anchored=False), tested=tested, no_fault=ran)) == told


def test_the_first_screen_names_three_open_questions_at_most():
    """Eight questions in a row are no prose; the section has all of them."""
    answers = tuple(Answer(question=f"Question {n}?", state=CANNOT_SAY) for n in range(8))
    told = " ".join(sentence.text for sentence in paragraphs(quarterly(answers=answers))["For the analyst"])
    assert "These data cannot say: Question 0? Question 1? Question 2? And 5 more." in told


def test_without_an_anchor_no_share_is_said():
    """Four verdicts: the bounds and nothing else, in prose, summary and list alike."""
    made = quarterly(audit=audit(anchored=False))
    told = " ".join(sentence.text for sentence in paragraphs(made)["For the shop owner"])
    assert "10.0 % to 70.0 %" in told
    assert "cannot say; too few bench tests" in dict(summary_lines(made))["Needless among them"]
    answer = answerable.needless(made.audit, "")
    assert (answer.state, answer.smallest_change) == (BOUNDS, answerable.BENCH_TEN)


def test_an_interval_without_point_is_no_figure():
    """Reconditioned units with ends too far apart: bounds only, no single age."""
    made = lives(population("reconditioned", "corrected", estimate(None, 0.5, 2.6, "years")))
    answer = answerable.life(made, "reconditioned", "")
    assert answer.state == BOUNDS
    assert "0.5 to 2.6 years" in answer.says
    assert answerable.life(made, "new", "").state == CANNOT_SAY


def test_a_life_with_point_is_answered_beside_the_recorded_one():
    """Both ages stand in one sentence."""
    made = lives(population("new", "corrected", estimate(4.1, 3.4, 4.9, "years")), population("new", "as_recorded", estimate(2.9, 2.5, 3.3, "years")))
    assert answerable.life(made, "new", "").state == ANSWERED
    assert dict(summary_lines(quarterly(lives=made)))["Life of a new unit"] == (
        "one in ten has failed by 4.1 years (3.4 to 4.9); taken as recorded it would look like 2.9")


def test_senders_alone_name_their_population():
    """From a bench log alone the words never speak of units that were not sent."""
    senders = SenderAudit(population="cores sent to this bench", cores=80, tested=60, no_fault=20, tested_only=None, corrected=estimate(0.3, 0.2, 0.4),
                          bounds=Bounds(lower=0.1, upper=0.5), by_sender=(), by_bench_accuracy=())
    told = " ".join(sentence.text for sentence in paragraphs(quarterly(senders=senders))["For the shop owner"])
    assert told.startswith("Of 80 cores sent to this bench")
    assert "Units never sent are not in it" in told


@pytest.mark.parametrize(("priced", "decided", "state"), [(True, 2, ANSWERED), (True, 0, CANNOT_SAY), (False, 0, CANNOT_SAY)])
def test_waiting_units_need_prices(priced, decided, state):
    """No price, no recommendation: the least that would change it is the price file."""
    answer = answerable.waiting(3, decided, priced, 0)
    assert answer.state == state
    assert state == ANSWERED or "prices.toml" in answer.smallest_change


def test_visits_that_are_taken_as_open_are_called_that():
    """The answer says how many of the visits nobody called open, also where none is decided; where a state says it of all, nothing is added."""
    taken = "1 of 3 open visits is taken as open: neither a state nor a release is recorded."
    assert answerable.waiting(3, 2, True, 1).says.endswith(taken)
    assert answerable.waiting(3, 0, False, 1).because == f"There is no prices.toml. {taken}"
    assert answerable.waiting(3, 2, True, 0).says.endswith("have a recommendation.")


def test_a_visit_without_status_is_open_until_released():
    """No status column: not released and come in lately counts as open; released, or come in long ago, does not."""
    visits = VISITS.check(pd.DataFrame({
        "visit_id": ["late", "released", "old", "stated"], "date_in": pd.to_datetime(["2025-12-20", "2025-12-20", "2024-01-01", "2024-01-01"]),
        "date_out": pd.to_datetime([None, "2025-12-22", None, None]), "status": [None, None, None, "open"],
    }))
    assert still_open(visits, Settings(as_of=dt.date(2025, 12, 31)))["visit_id"].tolist() == ["late", "stated"]


def test_open_visits_put_closed_gates_first_and_know_no_future():
    """A recall closes the gate; closed before not checked, then by vehicle; a visit reported after as_of is not there."""
    fleet = Fleet.from_tables(
        {
            "vehicles": pd.DataFrame({"vehicle_id": ["A", "B", "C"], "recall_open": [False, False, True]}),
            "visits": pd.DataFrame({
                "visit_id": ["1", "2", "3", "4", "5"], "vehicle_id": ["B", "A", "C", "A", "B"], "status": ["open", "open", "open", "open", "closed"],
                "opened_on": pd.to_datetime(["2025-12-01"] * 5), "reported_on": pd.to_datetime(["2025-12-02", None, "2025-12-02", "2026-01-05", None]),
            }),
        },
        Settings(as_of=dt.date(2025, 12, 31)),
    )
    shown = open_visits(fleet, lambda name: decision())
    assert [(v.visit_id, v.gate_state) for v in shown] == [("3", "closed"), ("2", "not checked"), ("1", "not checked")]
    assert quarterly(open_visits=shown).off_hire == (shown[0],)


def test_the_least_that_would_change_a_life_is_what_is_missing_first():
    """Verdicts where there are none; ages where they are unknown although verdicts abound; else more failures."""
    bare = LifeEstimates(populations=(), conditional=(), failure_rate=None, model=None, refused=("Corrected life: about 4 true failures.",))
    for changed, said in ((dataclasses.replace(bare, anchored=False), answerable.BENCH_TEN), (dataclasses.replace(bare, unplaced=153), "The age of 153 units"),
                          (bare, "More vehicles")):
        assert answerable.life(changed, "new", "").smallest_change.startswith(said)
        assert answerable.coming(None, changed, "").smallest_change.startswith(said)


def test_visits_that_are_neither_over_nor_open_are_told():
    """One came in long ago, one names no day: neither released, billed nor called anything, they are counted and the reason said; no 'answered' covers them."""
    visits = VISITS.check(pd.DataFrame({
        "visit_id": ["late", "released", "old", "dayless", "billed"], "date_in": pd.to_datetime(["2025-12-20", "2025-12-20", "2024-01-01", None, "2024-01-01"]),
        "date_out": pd.to_datetime([None, "2025-12-22", None, None, None]), "total_cost": [None, None, None, None, 9.0],
    }))
    left = not_taken_as_open(visits, Settings(as_of=dt.date(2025, 12, 31)))
    assert left.startswith("2 visits are not taken as open: no state, release or amount is recorded")
    answer = answerable.waiting(0, 0, True, 0, left)
    assert (answer.state, answer.because) == (BOUNDS, left)
    assert answerable.waiting(3, 2, True, 0, left).says.endswith(left)
    assert not not_taken_as_open(visits[visits["visit_id"].ne("old") & visits["visit_id"].ne("dayless")], Settings(as_of=dt.date(2025, 12, 31)))
    assert answerable.waiting(0, 0, True, 0).state == ANSWERED


def test_one_of_a_thing_is_said_as_one():
    """One currency is not 'each of 1 currencies'; two are each."""
    assert answerable.spent(1, False).says == "Amounts of the one currency there is, in the money of their own months."
    assert "each of 2 currencies" in answerable.spent(2, False).says
