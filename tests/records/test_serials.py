"""One spelling per unit."""

from __future__ import annotations

from collections import Counter, defaultdict

import pandas as pd
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fleetstats.records.distinct import distinct
from fleetstats.records.serials import SUPPORT, KnownSerials, known_serials
from fleetstats.records.spelling import folded, loose, normal, pattern, without_zeros

WRITTEN = st.lists(st.text("kKO01- ", max_size=5), max_size=8)


def _known(register: list[str], others: list[str]) -> KnownSerials:
    met = distinct([pd.Series(register, dtype="string"), pd.Series(others, dtype="string")])
    return known_serials(met.texts, met.counts(met.places[:1]), met.counts(met.places[1:]))


def _spelled(known: KnownSerials) -> dict[str, str | None]:
    return {text: known.texts[read] if read >= 0 else None for text, read in zip(known.texts, known.reads, strict=True)}


def _scores(known: KnownSerials) -> dict[str, bool]:
    """Every text with a score, and whether that is sure."""
    return {known.texts[place]: one.sure for place, one in known.matches.items()}


def test_a_letter_read_for_a_digit_is_mended_where_one_serial_is_known() -> None:
    """K1O0123, KI00123 and k-100123 are K100123 of the register; the first two by confusion of letters, the last by spelling alone."""
    known = _known(["K100123", "K100200"], ["K1O0123", "KI00123", "k-100123"])
    assert _spelled(known) == {"K1O0123": "K100123", "KI00123": "K100123", "k-100123": "K100123", "K100123": "K100123", "K100200": "K100200"}
    assert _scores(known) == {"K1O0123": True, "KI00123": True}


def test_two_known_serials_that_read_alike_stay_apart() -> None:
    """K8-001 and KB-001 are both in the register: neither may become the other."""
    assert _spelled(_known(["K8001", "KB001"], ["KB001"])) == {"KB001": "KB001", "K8001": "K8001"}


def test_outside_the_register_the_usual_pattern_decides() -> None:
    """Twelve serials have a letter and six digits; 'K2O0001' alone has a letter in third place, so it is K200001."""
    usual = [f"K2000{n:02d}" for n in range(12)]
    assert _spelled(_known([], [*usual, "K2O0001"]))["K2O0001"] == "K200001"


def test_a_serial_nobody_else_knows_stays_as_written() -> None:
    """Without a partner there is nothing to take 'K1O0123' for; a text without letters and digits is no serial."""
    known = _known(["A777"], ["K1O0123", "-"])
    assert _spelled(known) == {"A777": "A777", "K1O0123": "K1O0123", "-": None}
    assert not known.matches


def _plain(register: list[str], others: list[str]) -> tuple[dict[str, str | None], dict[str, bool]]:
    """Spelling and scores as `known_serials` describes them, form by form."""
    count = {False: Counter(others), True: Counter(register)}
    shown: dict[str, str] = {}
    for text in sorted({*register, *others}, key=lambda text: (text not in register, -count[text in register][text], text)):
        shown.setdefault(normal(text), text)
    shown.pop("", None)
    support = Counter(map(pattern, shown))
    owned = {form for form in shown if shown[form] in register}
    root, sure = dict[str, str](), dict[str, bool]()
    for way in (folded, loose):
        classes = defaultdict(list)
        for form in sorted(set(shown) - set(root)):
            classes[way(form)].append(form)
        for together in classes.values():
            usual = [form for form in together if support[pattern(form)] >= SUPPORT * max(support[pattern(one)] for one in together)]
            longer = {form for form in usual for one in usual if without_zeros(one) == without_zeros(form) and len(one) > len(form)}
            whole = [form for form in usual if form in owned or form not in longer]
            known = [form for form in whole if form in owned] if len(whole) > 1 and owned & set(whole) else whole
            for form in set(together) - set(known):
                sure[form] = len(known) == 1
                root |= {form: known[0]} if sure[form] else {}
    spelled = {}
    for text in {*register, *others}:
        form = normal(text)
        while form in root:
            form = root[form]
        spelled[text] = shown.get(form)
    return spelled, {text: sure[normal(text)] for text in spelled if normal(text) in sure}


@settings(deadline=None)
@given(WRITTEN, WRITTEN)
@example(["K001"], ["KO1", "K1", "KOO1"])
@example([], ["K100", "K1O0", "K0100", "KO1O0"])
def test_serials_are_read_as_form_by_form(register: list[str], others: list[str]) -> None:
    """Whatever is written, every text has the serial, and the score or none, that the rule gives when it is followed form by form."""
    known = _known(register, others)
    assert (_spelled(known), _scores(known)) == _plain(register, others)
