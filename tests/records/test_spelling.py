"""Normal forms, of one text and of many at once."""

from __future__ import annotations

import itertools
from string import ascii_uppercase
from string import digits as figures

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fleetstats.records.spelling import digits, folded, loose, misread_signs, normal, of_each, one_sign_apart, pattern, without_zeros

SIGNS = ascii_uppercase + figures
TEXTS = st.text(st.one_of(st.sampled_from("kKO00017 -\nß"), st.characters(codec="utf-8")), max_size=8)
READ_FOR = dict(zip("OQILSBZG", "00115826", strict=True))


def _normal(text: str) -> str:
    return "".join(sign for sign in text.upper() if sign in SIGNS)


def _without_zeros(text: str) -> str:
    runs = ("".join(run) for _, run in itertools.groupby(_normal(text), figures.__contains__))
    return "".join(run.lstrip("0") or "0" if run[0] in figures else run for run in runs)


def _folded(text: str) -> str:
    return "".join(READ_FOR.get(sign, sign) for sign in _normal(text))


PLAIN = {
    normal: _normal, without_zeros: _without_zeros, folded: _folded, loose: lambda text: _folded(_without_zeros(text)).lstrip("0"),
    digits: lambda text: "".join(sign for sign in text if sign in figures).lstrip("0"),
    pattern: lambda text: "".join("9" if sign in figures else "A" for sign in _normal(text)),
}
"""Each form, told sign by sign."""


@pytest.mark.parametrize("way", PLAIN)
@settings(deadline=None)
@given(texts=st.lists(TEXTS, max_size=6))
@example(texts=["K\n1", "", "\n", "000", "ßk0-017"])
def test_the_forms_of_many_texts_are_the_forms_of_each(way, texts) -> None:
    """Made in one go or one by one, with breaks and signs of any script inside, a form is what its rule says sign by sign."""
    plain = [PLAIN[way](text) for text in texts]
    assert of_each(way, texts) == plain
    assert [way(text) for text in texts] == plain


@settings(deadline=None)
@given(st.lists(st.tuples(st.text("AB1", max_size=4), st.text("AB1", max_size=4)), max_size=12))
def test_many_pairs_are_compared_as_each_alone(pairs) -> None:
    """Pairs of any lengths, compared together: one sign otherwise, or two neighbours turned, is told as for a single pair."""
    one, other = (np.array([pair[side] for pair in pairs], dtype=object) for side in (0, 1))
    assert misread_signs(one, other).tolist() == [one_sign_apart(a, b) is not None for a, b in pairs]
