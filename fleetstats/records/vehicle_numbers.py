"""Vehicle numbers as shops write them, matched to the register."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import reduce

import numpy as np
import pandas as pd

from fleetstats.records import scoring
from fleetstats.records.distinct import coded, first_of_each
from fleetstats.records.scoring import Match, match
from fleetstats.records.spelling import digits, folded, normal, of_each, without_zeros
from fleetstats.sources.vehicle_marks import VIN_MARK

DIGITS_ALONE = "digits alone"
WAYS: tuple[tuple[str, tuple[Callable[[str], str], ...], str], ...] = (
    ("written otherwise", (normal,), scoring.SPELLING),
    ("leading zeros", (without_zeros,), scoring.ZEROS),
    (DIGITS_ALONE, (digits,), scoring.DIGITS),
    ("confusion of letters", (without_zeros, folded), scoring.CONFUSION),
)
"""How a number may differ from the register's, tried in this order: the forms taken one of the other, the last the same. A way counts only where it
names one vehicle."""
VIN = "end of the VIN"
STRANGER = "not in the register"
Found = tuple[str, str, Match | None]
"""Vehicle, how it was found, score where that is not literal."""


def match_vehicles(written: Iterable[str], register: Iterable[str], vins: Mapping[str, str] | None = None) -> pd.DataFrame:
    """The register's number for every distinct spelling.

    vins: vehicle -> VIN as `sources.vehicle_marks` masks it. Returns one row per spelling (the index): vehicle_id, how, match.
    `how` is "" for a literal match and "not in the register" where no way names exactly one vehicle; the spelling is then kept, with
    a score below the threshold where several fit. Digits alone match only a spelling without letters on one side: '118' is C-118,
    but 'D-118' is not. The end of a VIN is tried last, six signs of it or eight.
    """
    texts, known = list(dict.fromkeys(written)), dict.fromkeys(register)
    strange = np.flatnonzero([text not in known for text in texts])
    named, how, scores = np.array(texts, dtype=object), np.full(len(texts), "", dtype=object), np.full(len(texts), None, dtype=object)
    if len(strange):
        named[strange], how[strange], scores[strange] = zip(*_match_each(named[strange].tolist(), list(known), vins or {}), strict=True)
    return pd.DataFrame({"vehicle_id": pd.array(named, dtype="string"), "how": pd.array(how, dtype="string"), "match": scores}, index=texts)


def own_register(texts: np.ndarray, counts: np.ndarray, way: Callable[[str], str] = without_zeros) -> list[str]:
    """One spelling for every number, the commonest one, ties by the alphabet. texts: each once. way: texts for which it gives the same are one number."""
    some = texts[counts > 0]
    return list(some[first_of_each(coded([way(text) for text in some])[0], some, -counts[counts > 0])])


def _tails(vins: Mapping[str, str]) -> dict[str, list[str]]:
    """Vehicles by the last eight and the last six signs of their VIN."""
    index: dict[str, list[str]] = {}
    for vehicle, mark in sorted(vins.items()):
        found = VIN_MARK.fullmatch(mark)
        tail = found[1] if found else mark
        for length in {8, 6} if len(tail) == 8 else {6}:
            index.setdefault(tail[-length:], []).append(vehicle)
    return index


def _match_each(strange: list[str], register: list[str], vins: Mapping[str, str]) -> list[Found]:
    fits = [(how, seen, _candidates(_forms(ways, strange), _forms(ways, register), register)) for how, ways, seen in WAYS]
    tails = _tails(vins)
    return [_match(text, [(how, seen, candidates[place]) for how, seen, candidates in fits], tails) for place, text in enumerate(strange)]


def _forms(ways: tuple[Callable[[str], str], ...], texts: list[str]) -> list[str]:
    return reduce(lambda forms, way: of_each(way, forms), ways, texts)


def _candidates(forms: list[str], known_forms: list[str], known: list[str]) -> list[list[str]]:
    """Per form the texts of `known` that have it, none for the empty form."""
    index: dict[str, list[str]] = {form: [] for form in forms}
    for form, text in zip(known_forms, known, strict=True):
        if form and form in index:
            index[form].append(text)
    return [index[form] for form in forms]


def _match(text: str, fits: list[tuple[str, str, list[str]]], tails: dict[str, list[str]]) -> Found:
    unsure: Match | None = None
    for how, seen, known in fits:
        candidates = [one for one in known if _only_digits(text) or _only_digits(one)] if how == DIGITS_ALONE else known
        if len(candidates) == 1:
            return candidates[0], how, match([seen, scoring.REGISTER])
        if candidates and unsure is None:
            unsure = match([seen, scoring.REGISTER], others=len(candidates) - 1)
    by_vin = _by_vin(text, tails)
    return by_vin if by_vin is not None else (text, STRANGER, unsure)


def _by_vin(text: str, tails: dict[str, list[str]]) -> Found | None:
    """The vehicle whose VIN ends so; where none does, the one whose VIN ends as the check digit mends it."""
    found = VIN_MARK.fullmatch(text)
    ends = [(found[1], [scoring.VIN_TAIL]), (found[2], [scoring.VIN_TAIL, scoring.CONFUSION])] if found else [(normal(text), [scoring.VIN_TAIL])]
    for tail, facts in ends:
        vehicles = tails.get(tail, []) if tail else []
        if vehicles:
            told = match([*facts, scoring.REGISTER], others=len(vehicles) - 1)
            return (vehicles[0], VIN, told) if told.sure else (text, STRANGER, told)
    return None


def _only_digits(text: str) -> bool:
    return normal(text).isdigit()
