"""One spelling per unit."""

import pandas as pd

from fleetstats.records.serials import known_serials


def _text(*values: str) -> pd.Series:
    return pd.Series(values, dtype="string")


def test_a_letter_read_for_a_digit_is_mended_where_one_serial_is_known() -> None:
    """K1O0123, KI00123 and k-100123 are K100123 of the register; the first two by confusion of letters, the last by spelling alone."""
    known = known_serials(_text("K100123", "K100200"), _text("K1O0123", "KI00123", "k-100123"))
    assert known.resolve(_text("K1O0123", "KI00123", "k-100123", "K100200")).tolist() == ["K100123", "K100123", "K100123", "K100200"]
    assert sorted(known.matches) == ["K1O0123", "KI00123"]
    assert all(score.sure for score in known.matches.values())


def test_two_known_serials_that_read_alike_stay_apart() -> None:
    """K8-001 and KB-001 are both in the register: neither may become the other."""
    known = known_serials(_text("K8001", "KB001"), _text("KB001"))
    assert known.resolve(_text("KB001", "K8001")).tolist() == ["KB001", "K8001"]


def test_outside_the_register_the_usual_pattern_decides() -> None:
    """Twelve serials have a letter and six digits; 'K2O0001' alone has a letter in third place, so it is K200001."""
    usual = [f"K2000{n:02d}" for n in range(12)]
    serial = known_serials(_text(), _text(*usual, "K2O0001")).resolve(_text("K2O0001"))
    assert serial.tolist() == ["K200001"]


def test_a_serial_nobody_else_knows_stays_as_written() -> None:
    """Without a partner there is nothing to take 'K1O0123' for; a missing serial stays missing."""
    known = known_serials(_text("A777"), _text("K1O0123"))
    serial = known.resolve(pd.Series(["K1O0123", pd.NA], dtype="string"))
    assert serial[0] == "K1O0123"
    assert serial.isna().tolist() == [False, True]
    assert not known.matches
