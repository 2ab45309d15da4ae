"""The check digit of a vehicle identification number against the worked examples of the rule: 49 CFR 565.15(c) (formerly 565.6), tables III to V."""

import pytest

from fleetstats.sources.vin import check_digit, is_vin, mended_vin, weighted_sum


@pytest.mark.parametrize(("vin", "total", "sign"), [
    ("1G4AH59H_5G118341", 411, "4"), ("1M8GDM9A_KP042788", 351, "X"), ("1J9RP1A3_A1644345", 314, "6"), ("1" * 17, 89, "1")])
def test_worked_examples(vin: str, total: int, sign: str):
    """49 CFR 565, sample calculation: sum 411, remainder 4; an outline by the agency: 314, remainder 6; a remainder of 10 is written X; of 17 ones the
    sum is 89, so that they pass. An underscore stands for the ninth place, which counts nothing."""
    assert (weighted_sum(vin), check_digit(vin)) == (total, sign)


def test_a_number_that_does_not_pass_is_flagged_and_not_refused():
    """Numbers from elsewhere and older ones need not have a check digit (49 CFR 565.15(c) binds what is made for the North American market):
    a wrong one is still a number of a vehicle, and nothing is mended where no single change makes it pass."""
    assert is_vin("1M8GDM9A0KP042788")
    assert check_digit("1M8GDM9A0KP042788") != "0"
    assert mended_vin("11111111011111111") is None


@pytest.mark.parametrize("written", ["IM8GDM9AXKPO42788", "1M8GDM9AXKPQ42788"])
def test_letters_that_no_number_has(written: str):
    """I, O and Q never occur (49 CFR 565.13(g)): they were read for 1 and 0."""
    assert is_vin(written)
    assert check_digit(written.translate(str.maketrans("IOQ", "100"))) == "X"


def test_one_look_alike_is_mended():
    """The 8 of the published number written as B: one change alone passes the check digit."""
    assert mended_vin("1MBGDM9AXKP042788") == "1M8GDM9AXKP042788"
