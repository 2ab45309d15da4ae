"""Text against published pairs: edit distances, and Unicode's compatibility folding (Unicode Standard Annex #15)."""

import pytest

from fleetstats.sources.amounts import number_parser
from fleetstats.sources.hours import hours_parser
from fleetstats.vocabulary import load_vocabulary
from fleetstats.vocabulary.spelling import OSA, Speller
from tests.sources.told import checks_told


@pytest.mark.parametrize(("one", "two", "edits"), [("kitten", "sitting", 3), ("saturday", "sunday", 3), ("ca", "abc", 3)])
def test_the_distance_of_the_speller(one: str, two: str, edits: int):
    """Levenshtein (1966) and the usual textbook pairs; ca/abc is 3 by the optimal string alignment that is used here and 2 by the true
    Damerau-Levenshtein distance, which may edit between the letters it swaps."""
    assert OSA.distance(one, two) == edits


def test_two_neighbours_swapped_are_one_edit():
    """Optimal string alignment counts a swap of neighbours as one edit, so 'ammoina' is 'ammonia'; three edits are another word."""
    speller = Speller({"ammonia", "kitten"}, set(), {})
    assert speller("ammoina") == "ammonia"
    assert speller("sitting") == "sitting"


@pytest.mark.parametrize(("written", "hours"), [("1\u00bd", 1.5), ("\uff11.5", 1.5), ("\u00bd", 0.5), ("10\u00bd", 10.5), ("1\u00a0\u00bd", 1.5)])
def test_one_sign_fractions_before_folding(written: str, hours: float):
    """Annex #15: U+00BD folds to 1, U+2044, 2 and U+FF11 to 1, so '1½' folded first would be eleven halves: the fraction is parted before."""
    assert hours_parser("hours")(written) == pytest.approx(hours)


def test_full_width_digits_are_digits():
    """Annex #15: U+FF11 FULLWIDTH DIGIT ONE has the compatibility mapping U+0031."""
    assert number_parser(".", ",")("\uff11\uff12.5") == 12.5


@pytest.mark.parametrize("written", ["elem 64\u2126", "elem 64\u03a9"])
def test_both_signs_of_the_ohm(written: str):
    """Annex #15: U+2126 OHM SIGN is canonically U+03A9, so both are the same unit."""
    vocabulary = load_vocabulary()
    check, = checks_told({"correction_text": written}, vocabulary).values()
    assert (check.check, check.value, check.unit) == ("C09", 64.0, "ohm")


@pytest.mark.parametrize("written", ["fridge 4\u2103 after a night", "fridge 4\u00b0C after a night"])
def test_both_ways_to_write_degrees(written: str):
    """Annex #15: U+2103 DEGREE CELSIUS has the compatibility mapping U+00B0 U+0043."""
    vocabulary = load_vocabulary()
    found = checks_told({"correction_text": written}, vocabulary)
    assert (found["C17"].value, found["C17"].unit) == (4.0, "degC")
