"""How far a name that is not written literally may be taken for a known one: a score with its reasons."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

SPELLING = "letters and digits agree"
ZEROS = "agrees but for leading zeros"
DIGITS = "its digits agree, one side has no letters"
CONFUSION = "confusion of letters"
ONE_SIGN = "all signs but one agree"
TURNED = "two neighbouring signs stand turned"
VIN_TAIL = "the last signs of the VIN agree"
PLATE = "the number plate agrees"
BY_DATE = "the vehicle had this plate on that day"
CHAIN = "the chain of the vehicle has it there"
NEXT = "the next exchange of the vehicle agrees"
BREAKS = "breaks the chain of its vehicle"
REGISTER = "stands in the register"
USUAL = "is of the usual pattern, what is written is not"
NOWHERE = "what is written stands nowhere else"
ELSEWHERE = "what is written is a unit of its own elsewhere"
FOREIGN = "of a pattern that no unit known from register, bench or chain has"
SEVERAL = "others of this pattern stand against their chains too"
STAYS = "removed from one vehicle again and again, never fitted"
MANY = "stands at many vehicles, in no chain"

SHARES: dict[str, tuple[float, float]] = {
    SPELLING: (0.95, 0.0005), ZEROS: (0.90, 0.005), DIGITS: (0.90, 0.02), CONFUSION: (0.90, 0.01), ONE_SIGN: (0.50, 0.05), TURNED: (0.50, 0.02),
    VIN_TAIL: (0.95, 0.001), PLATE: (0.98, 0.0005), BY_DATE: (0.98, 0.02), CHAIN: (0.95, 0.02), NEXT: (0.95, 0.02), BREAKS: (0.90, 0.10),
    REGISTER: (0.80, 0.40), USUAL: (0.90, 0.10), NOWHERE: (0.90, 0.30), ELSEWHERE: (0.01, 0.90),
    FOREIGN: (0.90, 0.05), SEVERAL: (0.90, 0.10), STAYS: (0.80, 0.02), MANY: (0.80, 0.01),
}
"""What is observed -> how often it is where both are the same thing, and where they are not.

The shares are assumptions, set from memory before any result was seen; no source gives them for refrigerator records. What follows
from them is the order of the scores more than their size: an agreement that is rare among strangers weighs more than a common one.
"""

THRESHOLD = 0.9
"""A name whose score is below this is left as it is written, and told."""


@dataclass(frozen=True)
class Match:
    """score: in [0, 1]. reasons: in words, the heaviest first."""

    score: float
    reasons: str

    @property
    def sure(self) -> bool:
        """Whether the name may be taken for the other."""
        return self.score >= THRESHOLD


def weight(seen: str) -> float:
    """Logarithm of how many times likelier `seen` is where both are one thing than where they are not."""
    same, different = SHARES[seen]
    return math.log(same / different)


def match(seen: Iterable[str], *, others: int = 0) -> Match:
    """The score of one candidate.

    seen: what speaks for it and against it, of SHARES. others: candidates for which the same speaks.
    The weights are added (Fellegi and Sunter 1969, A theory for record linkage, JASA 64, 1183-1210: the logarithm of the ratio of
    the probabilities under match and under non-match, the observations taken as independent); the odds before are even, and each
    candidate that fits as well takes an equal share.
    """
    return _scored(frozenset(seen), others)


@cache
def _scored(seen: frozenset[str], others: int) -> Match:
    facts = sorted(seen, key=lambda fact: (-abs(weight(fact)), fact))
    odds = math.exp(sum(weight(fact) for fact in facts))
    words = "; ".join(facts)
    if others:
        words = f"{words}; {others} other{'s fit' if others > 1 else ' fits'} as well"
    return Match(round(odds / (1 + odds * (1 + others)), 4), words)
