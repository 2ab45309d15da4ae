"""Vehicle numbers matched to the register."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.records.spelling import digits, folded, normal, without_zeros
from fleetstats.records.vehicle_numbers import match_vehicles, own_register

NUMBERS = st.text("cCO01-", max_size=5)
REGISTER = ["C-118", "C-204", "D-0204", "BX-7"]


def test_each_spelling_of_a_number_names_its_vehicle() -> None:
    """C-118 is met as 'c118', '118', '0118', 'C 0118', and with the letter O for no digit of it: all are C-118 (written out by hand)."""
    found = match_vehicles(["C-118", "c118", "118", "0118", "C 0118", "C-1I8"], REGISTER)
    assert set(found["vehicle_id"]) == {"C-118"}
    assert found["how"].to_dict() == {
        "C-118": "", "c118": "written otherwise", "118": "digits alone", "0118": "digits alone", "C 0118": "leading zeros", "C-1I8": "confusion of letters",
    }


def test_what_names_two_vehicles_names_none() -> None:
    """'204' could be C-204 or D-0204, so it stays as written; 'D204' can only be D-0204."""
    found = match_vehicles(["204", "D204"], REGISTER)
    assert found.loc["204", ["vehicle_id", "how"]].tolist() == ["204", "not in the register"]
    assert not found.loc["204", "match"].sure
    assert "1 other fits as well" in found.loc["204", "match"].reasons
    assert found.loc["D204", ["vehicle_id", "how"]].tolist() == ["D-0204", "leading zeros"]


def test_another_letter_is_another_vehicle() -> None:
    """'D-118' shares its digits with C-118 but has a letter of its own: not in the register."""
    assert match_vehicles(["D-118"], REGISTER).loc["D-118", "vehicle_id"] == "D-118"


def test_without_a_register_the_commonest_spelling_stands() -> None:
    """Of 'C-118' (twice) and 'c118' (once) the first is kept; C-119 is another number."""
    assert own_register(np.array(["c118", "C-118", "C-119", "C-7"], dtype=object), np.array([1, 2, 1, 0])) == ["C-118", "C-119"]


def _plain(text: str, register: list[str]) -> tuple[str, str]:
    """Vehicle and way, found by comparing the text with every number of the register in turn."""
    if text in register:
        return text, ""
    ways = {"written otherwise": normal, "leading zeros": without_zeros, "digits alone": digits, "confusion of letters": lambda one: folded(without_zeros(one))}
    for how, way in ways.items():
        fits = [one for one in register if way(one) and way(one) == way(text)]
        if how == "digits alone":
            fits = [one for one in fits if normal(text).isdigit() or normal(one).isdigit()]
        if len(fits) == 1:
            return fits[0], how
    return text, "not in the register"


@settings(deadline=None)
@given(st.sets(NUMBERS, max_size=6), st.sets(NUMBERS, max_size=8))
def test_many_numbers_are_matched_as_each_alone(written: set[str], register: set[str]) -> None:
    """Whatever is written and registered, a number is the vehicle that a comparison with every vehicle in turn finds."""
    found = match_vehicles(written, register)
    assert {text: (row["vehicle_id"], row["how"]) for text, row in found.iterrows()} == {text: _plain(text, sorted(register)) for text in written}
