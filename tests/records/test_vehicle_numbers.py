"""Vehicle numbers matched to the register."""

from fleetstats.records.vehicle_numbers import match_vehicles, own_register

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
    assert own_register(["C-118", "c118", "C-118", "C-119"]) == ["C-118", "C-119"]
