"""Vehicle identification numbers: the check digit, and what it mends."""

from __future__ import annotations

VALUES = dict(zip("0123456789ABCDEFGHJKLMNPRSTUVWXYZ", (*range(10), *range(1, 9), *range(1, 6), 7, 9, *range(2, 10)), strict=True))
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
"""Assigned values of signs, and weights of the 17 places: 49 CFR 565.15(c), tables III and IV."""
NEVER = str.maketrans({"I": "1", "O": "0", "Q": "0"})
"""Letters no VIN has (49 CFR 565.13), and the digits they were read for."""
LOOK_ALIKE = {"S": "5", "B": "8", "Z": "2", "G": "6", "5": "S", "8": "B", "2": "Z", "6": "G"}
LENGTH = 17


def is_vin(text: str) -> bool:
    """Whether a text in upper case has the length and the signs of a VIN, letters that are read for digits allowed."""
    plain = text.translate(NEVER)
    return len(plain) == LENGTH and all(sign in VALUES for sign in plain) and any(sign.isdigit() for sign in plain)


def weighted_sum(vin: str) -> int:
    """Sum of the signs' values by the weights of their places; the ninth place counts nothing."""
    return sum(VALUES.get(sign, 0) * weight for sign, weight in zip(vin, WEIGHTS, strict=True))


def check_digit(vin: str) -> str:
    """The sign that belongs in the ninth place: the remainder of the sum by 11, 10 as X (49 CFR 565.15(c)).

    vin: 17 signs of VALUES; what stands in the ninth place is not looked at. Numbers from outside North America, and older ones,
    need not have it: a number that lacks it is no fault.
    """
    remainder = weighted_sum(vin) % 11
    return "X" if remainder == 10 else str(remainder)


def mended_vin(vin: str) -> str | None:
    """The one number that the check digit confirms, where taking one letter for a digit, or one digit for a letter, back gives one alone; else None.

    vin: as `is_vin` knows it. None as well where it passes as it stands, letters that no VIN has made digits.
    """
    plain = vin.translate(NEVER)
    if check_digit(plain) == plain[8]:
        return None
    swaps = [f"{plain[:place]}{LOOK_ALIKE[sign]}{plain[place + 1:]}" for place, sign in enumerate(plain) if sign in LOOK_ALIKE]
    passing = [other for other in swaps if check_digit(other) == other[8]]
    return passing[0] if len(passing) == 1 else None
