"""The sheet for one unit as text."""

import dataclasses
import math

import pytest

from fleetstats.cli.sheet import decision_text
from fleetstats.decision import Step
from tests.figures.made import decision


def test_the_sheet_reads_from_answer_to_doubt():
    """Recommendation first, then gate, probability, options from the cheapest, what has no price, in this order."""
    text = decision_text(decision())
    places = [text.index(words) for words in (
        "Remedy the outside fault first.", "Gate ", "18.0 % (9.0 to 31.0) (not anchored", "put the outside fault right first", "exchange for a new unit",
        "Not priced (no price)")]
    assert places == sorted(places)
    assert "USD 1,300 (1,000 to 1,700)" in text


def test_findings_show_how_far_they_moved_it():
    """Each finding with its direction and weight in words (-2.71 is a factor of 15: strongly), and where the probability then stood."""
    step = Step(check="C18", finding="cools well on gas", bad=False, contribution=-2.71, log_odds=-1.0, probability=0.269, without=2.0)
    text = decision_text(dataclasses.replace(decision(), evidence=dataclasses.replace(decision().evidence, steps=(step,))))
    assert "cools well on gas  strongly against it             26.9 %" in text
    assert "log-odds" not in text


@pytest.mark.parametrize(("factor", "words"), [(6.0, "strongly for it"), (3.0, "for it"), (1.5, "a little for it"), (1.1, "hardly either way"),
                                               (1 / 1.5, "a little against it"), (1 / 6.0, "strongly against it")])
def test_the_weight_of_a_finding_in_words(factor: float, words: str):
    """By what it multiplies the odds: five times or more is strong, less than a fifth more is nothing."""
    step = Step(check="C18", finding="found", bad=False, contribution=math.log(factor), log_odds=0.0, probability=0.5, without=0.0)
    line = decision_text(dataclasses.replace(decision(), evidence=dataclasses.replace(decision().evidence, steps=(step,))))
    assert f"found    {words} " in line


def test_cautions_and_defaults_stand_at_the_end():
    """Nothing assumed stays unsaid."""
    text = decision_text(dataclasses.replace(decision(), cautions=("Heat off.",), assumptions=("life assumed",)))
    assert text.index("- Heat off.") < text.index("Figures that were defaults: life assumed.")


def test_no_prices_stand_where_the_gas_side_comes_first():
    """A gate closed with nothing to recommend shows no cost of any option; the same sheet with its gate clear does."""
    stopped = dataclasses.replace(decision(), gate_state="closed", gate_finding="smell of fuel gas reported", recommended=None)
    assert "Expected cost" not in decision_text(stopped)
    assert "Expected cost" in decision_text(decision())
