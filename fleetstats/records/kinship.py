"""Which two texts may be one serial."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from string import ascii_letters, digits

from fleetstats.records import scoring
from fleetstats.records.scoring import Match, match
from fleetstats.records.spelling import folded, loose, normal, one_sign_apart

FORMS = ((scoring.SPELLING, normal), (scoring.CONFUSION, folded), (scoring.ZEROS, loose))
"""How two serials may be one: by the form that is the same for both."""
_READ = {sign: folded(sign) for sign in ascii_letters + digits}
"""A sign of a serial -> what it is read as."""
_END = 3
"""Signs at the end by which two serials are told apart at first."""
SIGN = {"sign": scoring.ONE_SIGN, "turned": scoring.TURNED}


@dataclass(frozen=True)
class Kinship:
    """Which serials may be one. written: all serials of exchanges. elsewhere: how many rows of other tables bear each text."""

    written: Sequence[str | None]
    elsewhere: Mapping[str, int]

    @cached_property
    def met(self) -> Mapping[str | None, int]:
        """How many rows of all tables bear each text."""
        met: Counter[str | None] = Counter(self.written)
        met.update(self.elsewhere)
        return met

    def way(self, one: str | None, other: str | None) -> str | None:
        """How two serials are one, as a fact of `scoring`: SPELLING, CONFUSION, ZEROS; None where they are not, or one is missing."""
        if one is None or other is None:
            return None
        if one == other:
            return scoring.SPELLING
        # nearly all pairs are two units, and most of these end otherwise
        if ends_otherwise(one, other):
            return None
        return next((seen for seen, form in FORMS if form(one) and form(one) == form(other)), None)

    def same(self, one: str | None, other: str | None) -> bool:
        """Both known, and one unit when letters read for digits are made digits and leading zeros left out."""
        return self.way(one, other) is not None

    def misread(self, written: str, other: str) -> Match | None:
        """The score of a text that the chain names with one sign otherwise, or two turned; None where it differs by more."""
        how = one_sign_apart(normal(written), normal(other))
        if how is None:
            return None
        return match([SIGN[how], scoring.CHAIN, scoring.NOWHERE if self.met.get(written, 0) <= 1 else scoring.ELSEWHERE])


def ends_otherwise(one: str, other: str) -> bool:
    """Whether the last signs alone tell that two serials are two."""
    sign, other_sign = _READ.get(one[-1:]), _READ.get(other[-1:])
    if sign is None or other_sign is None:
        return False
    return sign != other_sign or _differ_before_the_end(one, other)


def _differ_before_the_end(one: str, other: str) -> bool:
    """The same of the signs before the last, as long as those behind them agree. A zero may be left out, and tells nothing."""
    for place in range(2, min(len(one), len(other), _END) + 1):
        sign, other_sign = _READ.get(one[-place], "0"), _READ.get(other[-place], "0")
        if "0" in (sign, other_sign):
            return False
        if sign != other_sign:
            return True
    return False
