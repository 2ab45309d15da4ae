"""Vehicle numbers as shops write them, matched to the register."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

import pandas as pd

from fleetstats.records import scoring
from fleetstats.records.scoring import Match, match
from fleetstats.records.spelling import digits, folded, normal, without_zeros
from fleetstats.sources.vehicle_marks import VIN_MARK

WAYS: tuple[tuple[str, Callable[[str], str], str], ...] = (
    ("written otherwise", normal, scoring.SPELLING),
    ("leading zeros", without_zeros, scoring.ZEROS),
    ("digits alone", digits, scoring.DIGITS),
    ("confusion of letters", lambda text: folded(without_zeros(text)), scoring.CONFUSION),
)
"""How a number may differ from the register's, tried in this order; a way counts only where it names one vehicle."""
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
    known = sorted(set(register))
    indices = [(how, way, seen, _index(known, way)) for how, way, seen in WAYS]
    tails = _tails(vins or {})
    literal = set(known)
    rows = {text: (text, "", None) if text in literal else _match(text, indices, tails) for text in sorted(set(written))}
    table = pd.DataFrame.from_dict(rows, orient="index", columns=["vehicle_id", "how", "match"])
    return table.astype({"vehicle_id": "string", "how": "string"})


def own_register(written: Iterable[str], way: Callable[[str], str] = without_zeros) -> list[str]:
    """One spelling for every number, the commonest one, ties by the alphabet. way: texts for which it gives the same are one number."""
    counts = pd.Series(list(written), dtype="string").value_counts()
    table = pd.DataFrame({"text": counts.index, "count": counts.to_numpy()}).sort_values(["count", "text"], ascending=[False, True])
    table["form"] = table["text"].map(way)
    return sorted(table.drop_duplicates("form")["text"])


def _index(known: list[str], way: Callable[[str], str]) -> dict[str, list[str]]:
    index: dict[str, list[str]] = {}
    for text in known:
        form = way(text)
        if form:
            index.setdefault(form, []).append(text)
    return index


def _tails(vins: Mapping[str, str]) -> dict[str, list[str]]:
    """Vehicles by the last eight and the last six signs of their VIN."""
    index: dict[str, list[str]] = {}
    for vehicle, mark in sorted(vins.items()):
        found = VIN_MARK.fullmatch(mark)
        tail = found[1] if found else mark
        for length in {8, 6} if len(tail) == 8 else {6}:
            index.setdefault(tail[-length:], []).append(vehicle)
    return index


def _match(text: str, indices: list[tuple[str, Callable[[str], str], str, dict[str, list[str]]]], tails: dict[str, list[str]]) -> Found:
    unsure: Match | None = None
    for how, way, seen, index in indices:
        candidates = index.get(way(text), [])
        if how == "digits alone":
            candidates = [one for one in candidates if _only_digits(text) or _only_digits(one)]
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
