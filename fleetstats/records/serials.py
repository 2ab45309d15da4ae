"""Serials as written, brought to one spelling per unit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats.records.distinct import coded, first_of_each
from fleetstats.records.packed import repeated
from fleetstats.records.scoring import CONFUSION, REGISTER, USUAL, ZEROS, Match, match
from fleetstats.records.spelling import folded, loose, normal, of_each, pattern, without_zeros

CHAIN = "from the chain"
LOST_ZEROS = "leading zeros lost"
MISREAD = "a misread sign"
READ = "read"
SUPPORT = 0.1
"""A spelling whose pattern of letters and digits is below this share of the commonest one in its class is a misreading."""


@dataclass(frozen=True)
class Forms:
    """The forms of texts. place: per text its normal form in `normal`, the distinct ones.

    folded, loose, shape: a number per normal form, the same where these forms of it are the same; shape is for `pattern`.
    """

    place: np.ndarray
    normal: np.ndarray
    folded: np.ndarray
    loose: np.ndarray
    shape: np.ndarray

    @classmethod
    def of(cls, texts: np.ndarray) -> Forms:
        """The forms of `texts`, each met once."""
        place, forms = coded(of_each(normal, texts))
        return cls(place, forms, *(coded(of_each(way, forms))[0] for way in (folded, loose, pattern)))


@dataclass(frozen=True)
class KnownSerials:
    """The serials of a fleet. texts: every text met, once. reads: per text the place in `texts` of its serial, -1 where it is none.

    matches: by place, the score of a text whose letters and digits are not its serial's. One that is not sure is its own serial: it was
    left apart.
    """

    texts: np.ndarray
    reads: np.ndarray
    forms: Forms
    matches: dict[int, Match]

    def how(self, place: int) -> str:
        """How a text that stands for another serial differs from it: CONFUSION or LOST_ZEROS."""
        written, serial = self.forms.folded[self.forms.place[[place, self.reads[place]]]]
        return CONFUSION if written == serial else LOST_ZEROS

    def units(self, place: np.ndarray) -> np.ndarray:
        """The place of the serial of each row, -1 for none. place: of what is written there, -1 for nothing."""
        return np.asarray(np.append(self.reads, -1)[place])


@dataclass(frozen=True)
class _Form:
    """A normal form met, its place and text. support: how many forms share its pattern of letters and digits, `shape`."""

    place: int
    form: str
    registered: bool
    shape: int
    support: int


def known_serials(texts: np.ndarray, registered: np.ndarray, others: np.ndarray) -> KnownSerials:
    """One spelling per unit from every serial met.

    texts: each once. registered, others: how often each stands in the register and elsewhere.
    Texts that differ only in case, spaces and dashes are one serial, in the spelling of the register before others, then the commonest,
    then by the alphabet. Texts that differ in letters read for digits, or in leading
    zeros, are one serial only where one of them alone is known: by the commonest pattern of letters and digits, or by the register;
    of numbers that differ in leading zeros alone the longest is the one nobody shortened. Where two of them are known, each stays,
    and one that could be either is left apart; the chain of the vehicle may decide (see `chains`).
    """
    forms = Forms.of(texts)
    shown = first_of_each(forms.place, texts, registered == 0, -np.where(registered > 0, registered, others))
    root, matches = np.arange(len(forms.normal)), dict[int, Match]()
    for classes, seen in ((forms.folded, CONFUSION), (forms.loose, ZEROS)):
        _join_classes(_alike(forms, classes, root, registered[shown] > 0), seen, root, matches)
    # a form read as another by its letters may have lent that one's zeros
    root = root[root]
    reads = np.where(forms.normal == "", -1, shown[root])[forms.place]
    scored = np.flatnonzero(np.isin(forms.place, list(matches)))
    return KnownSerials(texts, reads, forms, {int(at): matches[int(forms.place[at])] for at in scored})


def _alike(forms: Forms, classes: np.ndarray, root: np.ndarray, registered: np.ndarray) -> Iterable[list[_Form]]:
    """The forms not joined yet that share their class with another, by class, in alphabetical order."""
    free = np.flatnonzero((root == np.arange(len(root))) & (forms.normal != ""))
    some = free[repeated(classes[free])]
    support = np.bincount(forms.shape)[forms.shape]
    met: dict[int, list[_Form]] = {}
    for place in some[np.argsort(forms.normal[some])].tolist():
        one = _Form(place, forms.normal[place], bool(registered[place]), int(forms.shape[place]), int(support[place]))
        met.setdefault(int(classes[place]), []).append(one)
    return met.values()


def _join_classes(classes: Iterable[list[_Form]], seen: str, root: np.ndarray, matches: dict[int, Match]) -> None:
    """Give each form that is one serial with another of its class, and not known itself, its `root`, the known one; or a score below it."""
    for together in classes:
        known = _known(together)
        if not known:
            continue
        shapes, registered = {one.shape for one in known}, all(one.registered for one in known)
        for one in together:
            if one in known:
                continue
            facts = [seen, *([REGISTER] if registered else []), *([USUAL] if one.shape not in shapes else [])]
            matches[one.place] = match(facts, others=len(known) - 1)
            if matches[one.place].sure:
                root[one.place] = known[0].place


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


def role_of(column: str) -> str:
    """What the unit of a column of serials is to its row, with a blank behind it; empty where there is but one."""
    return "" if column == "serial" else column.removesuffix("_serial").replace("_cooling_unit", "") + " "


def how_known(lineage: pd.DataFrame) -> pd.DataFrame:
    """How serials of visits were inferred, told by the reasons of `lineage`: index visit_id, columns removed and fitted, missing where read."""
    told = lineage[(lineage["table"] == "visits") & (lineage["fate"] == "accepted") & lineage["reason"].notna()]
    ways = "|".join((CHAIN, CONFUSION, LOST_ZEROS, MISREAD))
    found = {role: told["reason"].str.extract(rf"{role} serial: ({ways})", expand=False) for role in ("removed", "fitted")}
    return pd.DataFrame(found).set_axis(told["record_id"])
