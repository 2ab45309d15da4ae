"""Serials as written, brought to one spelling per unit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.scoring import CONFUSION, REGISTER, USUAL, ZEROS, Match, match
from fleetstats.records.spelling import folded, loose, normal, pattern, without_zeros
from fleetstats.records.stacking import texts

CHAIN = "from the chain"
LOST_ZEROS = "leading zeros lost"
MISREAD = "a misread sign"
READ = "read"
SUPPORT = 0.1
"""A spelling whose pattern of letters and digits is below this share of the commonest one in its class is a misreading."""


@dataclass(frozen=True)
class KnownSerials:
    """The serials of a fleet. spelled: text as written -> serial; matches: text whose letters and digits are not its serial's -> score.

    A text in `matches` that is not sure is its own serial: it was left apart.
    """

    spelled: dict[str, str]
    matches: dict[str, Match]

    def resolve(self, written: pd.Series) -> pd.Series:
        """Serials in their one spelling."""
        place, distinct = pd.factorize(written)
        serials = np.array([*(self.spelled.get(text) for text in distinct), None], dtype=object)
        return pd.Series(serials[place], index=written.index, dtype="string")

    def how(self, text: str) -> str:
        """How a text that stands for another serial differs from it: CONFUSION or LOST_ZEROS."""
        return LOST_ZEROS if folded(text) != folded(self.spelled[text]) else CONFUSION


@dataclass(frozen=True)
class _Form:
    """A normal form met. display: its commonest spelling. support: how many forms share its pattern of letters and digits."""

    form: str
    display: str
    registered: bool
    pattern: str
    support: int


def known_serials(register: pd.Series, others: pd.Series) -> KnownSerials:
    """One spelling per unit from every serial met, `register` first.

    Texts that differ only in case, spaces and dashes are one serial. Texts that differ in letters read for digits, or in leading
    zeros, are one serial only where one of them alone is known: by the commonest pattern of letters and digits, or by the register;
    of numbers that differ in leading zeros alone the longest is the one nobody shortened. Where two of them are known, each stays,
    and one that could be either is left apart; the chain of the vehicle may decide (see `chains`).
    """
    forms = _forms(register, others)
    root: dict[str, str] = {}
    matches: dict[str, Match] = {}
    for way, seen in ((folded, CONFUSION), (loose, ZEROS)):
        _join_classes([one for one in forms.values() if one.form not in root], way, seen, root, matches)
    spelled: dict[str, str] = {}
    for text in sorted({*texts(register.dropna().drop_duplicates()), *texts(others.dropna().drop_duplicates())}):
        form = normal(text)
        while form in root:
            form = root[form]
        if form:
            spelled[text] = forms[form].display
    return KnownSerials(spelled, {text: matches[normal(text)] for text in spelled if normal(text) in matches})


def _join_classes(forms: list[_Form], way: Callable[[str], str], seen: str, root: dict[str, str], matches: dict[str, Match]) -> None:
    """Give each form that is one serial with another by `way`, and not known itself, its `root`, the known one; or a score below it."""
    classes: dict[str, list[_Form]] = {}
    for one in forms:
        classes.setdefault(way(one.form), []).append(one)
    for together in classes.values():
        known = _known(together) if len(together) > 1 else []
        if not known:
            continue
        patterns, registered = {one.pattern for one in known}, all(one.registered for one in known)
        for one in together:
            if one in known:
                continue
            facts = [seen, *([REGISTER] if registered else []), *([USUAL] if one.pattern not in patterns else [])]
            matches[one.form] = match(facts, others=len(known) - 1)
            if matches[one.form].sure:
                root[one.form] = known[0].form


def _forms(register: pd.Series, others: pd.Series) -> dict[str, _Form]:
    """Every normal form met, in alphabetical order; a spelling of the register is shown before others, then the commonest, then by the alphabet."""
    counts: list[tuple[str, int, bool]] = []
    for part, flag in ((register, True), (others, False)):
        place, distinct = pd.factorize(part)
        counts += zip(distinct.to_numpy(dtype=object), np.bincount(place[place >= 0]).tolist(), [flag] * len(distinct), strict=True)
    met: dict[str, tuple[str, bool]] = {}
    for text, _, registered in sorted(counts, key=lambda count: (not count[2], -count[1], count[0])):
        met.setdefault(normal(str(text)), (str(text), registered))
    met.pop("", None)
    patterns = {form: pattern(form) for form in met}
    support = Counter(patterns.values())
    return {form: _Form(form, *met[form], patterns[form], support[patterns[form]]) for form in sorted(met)}


def _known(together: list[_Form]) -> list[_Form]:
    """The forms of a class whose spelling is known: none, one, or several between which the class does not tell."""
    most = max(one.support for one in together)
    usual = [one for one in together if one.support >= SUPPORT * most]
    longest: dict[str, int] = {}
    for one in usual:
        longest[without_zeros(one.form)] = max(len(one.form), longest.get(without_zeros(one.form), 0))
    # nobody adds leading zeros; programs and people leave them out
    whole = [one for one in usual if one.registered or len(one.form) == longest[without_zeros(one.form)]]
    registered = [one for one in whole if one.registered]
    return registered if len(whole) > 1 and registered else whole


def how_known(lineage: pd.DataFrame) -> pd.DataFrame:
    """How serials of visits were inferred, told by the reasons of `lineage`: index visit_id, columns removed and fitted, missing where read."""
    told = lineage[(lineage["table"] == "visits") & (lineage["fate"] == "accepted") & lineage["reason"].notna()]
    ways = "|".join((CHAIN, CONFUSION, LOST_ZEROS, MISREAD))
    found = {role: told["reason"].str.extract(rf"{role} serial: ({ways})", expand=False) for role in ("removed", "fitted")}
    return pd.DataFrame(found).set_axis(told["record_id"])
