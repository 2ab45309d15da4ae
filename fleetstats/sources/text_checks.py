"""The checks that the texts of many visits report: told in words once for all that say the same, measured values for each text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import pandas as pd

from fleetstats.sources.judge import ONE_SOURCE, Texts, working_roles
from fleetstats.sources.readings import HOURS_RUN, Check, Measure, check_of, last_named, spots
from fleetstats.vocabulary import Match, Recognition, Recognitions, Vocabulary
from fleetstats.vocabulary.pieces import Piece

CHECK_COLUMNS = {"sheet": "string", "row": "Int64", "check": "string", "outcome": "string", "value": "float64", "unit": "string", "ambient": "float64",
                 "elapsed_hours": "float64"}
GOING = frozenset({"@ok", "@work"})
ENERGIES = frozenset({"@ac", "@lp", "@dc", "@power"})
SOURCES = GOING | ENERGIES
"""Classes of words that tell of one source of energy beside another."""

RUN_TEST, AMBIENT, TWO_SOURCES = "C17", "C04", "C18"
BEHIND = 6
"""Signs behind the words of a run test in which its hours may stand."""

OUTCOMES = ("fail", "pass", "done")
"""Of several outcomes of one check the first of these counts."""


def checks_of_rows(recognised: Mapping[str, Recognitions], said: Sequence[Texts], group: np.ndarray, vocabulary: Vocabulary) -> pd.DataFrame:
    """Checks that the texts of visits report, one per row and code: a failed one counts before a passed one, a value is kept with it.

    recognised: by role. group (rows,): place in `said` of what the texts of each row say. Returns row (0 to rows - 1), check, outcome, value, unit, ambient,
    elapsed_hours.
    """
    working = [working_roles(texts) for texts in said]
    parts = [_told(said, working, group, vocabulary)]
    for role, one in recognised.items():
        places = np.array([roles.index(role) if role in roles else -1 for roles in working] or [-1])[group]
        parts.append(_measured(one, places, vocabulary))
    return _united(pd.concat(parts, ignore_index=True))


def _told(said: Sequence[Texts], working: Sequence[Sequence[str]], group: np.ndarray, vocabulary: Vocabulary) -> pd.DataFrame:
    """What words tell, at every row of the group that says them."""
    distinct = {id(text): text for texts in said for text in texts.values()}
    told = {name: list(_from_words(text, vocabulary)) for name, text in distinct.items()}
    compared = {name for name, text in distinct.items() if _compares(text)}
    checks = [(place, 2 * turn, check) for place, (texts, roles) in enumerate(zip(said, working, strict=True))
              for turn, role in enumerate(roles) for check in told[id(texts[role])]]
    checks += [(place, 2 * len(texts), Check(TWO_SOURCES, "pass")) for place, texts in enumerate(said)
               if compared and any(id(text) in compared for text in texts.values())]
    table = _table([check for *_, check in checks]).assign(turn=np.array([turn for _, turn, _ in checks], dtype=np.int64))
    return _spread(table, np.array([place for place, *_ in checks], dtype=np.int64), group)


def _measured(one: Recognitions, places: np.ndarray, vocabulary: Vocabulary) -> pd.DataFrame:
    """What numbers tell, at every row whose text they stand in. places (rows,): of the role among those of its work, -1 where it is none."""
    codes, checks = _from_numbers(one, vocabulary)
    rows = np.flatnonzero(places >= 0)
    found = _spread(_table(checks), codes, one.codes[rows])
    row = rows[found["row"].to_numpy(dtype=np.int64)]
    return found.assign(row=row, turn=2 * places[row] + 1)


def _table(checks: Sequence[Check]) -> pd.DataFrame:
    return pd.DataFrame(checks, columns=Check._fields).astype({"check": object, "outcome": object, "unit": object, "value": float, "ambient": float,
                                                              "elapsed_hours": float})


def _spread(table: pd.DataFrame, owner: np.ndarray, owners_of_rows: np.ndarray) -> pd.DataFrame:
    """Lines of a table at every row of their owner, under `row`."""
    order = np.argsort(owner, kind="stable")
    first, last = (np.searchsorted(owner[order], owners_of_rows, side=side) for side in ("left", "right"))
    times = last - first
    row = np.repeat(np.arange(len(owners_of_rows)), times)
    line = order[np.arange(len(row)) - np.repeat(np.cumsum(times) - times, times) + np.repeat(first, times)]
    return table.take(line).reset_index(drop=True).assign(row=row)


def _united(found: pd.DataFrame) -> pd.DataFrame:
    """One line per row and code, in this order; the lines of one are taken in the order of texts, words before numbers."""
    found = found.sort_values(["row", "check", "turn"], kind="stable", ignore_index=True)
    found["outcome"] = found["outcome"].map({outcome: rank for rank, outcome in enumerate(OUTCOMES)})
    ambient = found[found["check"] == AMBIENT].drop_duplicates("row").set_index("row")["value"]
    grouped = found.groupby(["row", "check"], sort=False)
    united = grouped.agg(outcome=("outcome", "min"), value=("value", "first"), unit=("unit", "first"), elapsed_hours=("elapsed_hours", "first")).reset_index()
    united["outcome"] = np.array(OUTCOMES, dtype=object)[united["outcome"].to_numpy(dtype=np.int64)]
    return united.assign(ambient=united["row"].map(ambient).where(united["check"] == RUN_TEST).astype("float64"))


def _compares(text: Recognition) -> bool:
    """'Ok on gas, not on mains': one source of energy told good beside another."""
    return bool(GOING & text.terms) and len(ENERGIES & text.terms) > 1 and any(match.code in ONE_SOURCE for match in text.matches)


def _from_words(text: Recognition, vocabulary: Vocabulary) -> Iterator[Check]:
    cools = any(match.code == "OUT_OK" and match.certainty == "stated" for match in text.matches)
    warm = any(match.code == "OUT_FAIL" for match in text.matches)
    for match in text.matches:
        check, outcome = _of_match(match, vocabulary)
        if check is not None and match.certainty in ("stated", "inferred"):
            if check == RUN_TEST and outcome == "done":
                outcome = "fail" if warm else "pass" if cools or match.praised else "done"
            yield Check(check, str(outcome))


def _of_match(match: Match, vocabulary: Vocabulary) -> tuple[str | None, str | None]:
    if match.facet in ("pass", "fail"):
        return match.code, match.facet
    if match.code in ("SYM_AMMONIA", "SYM_RESIDUE"):
        return "C01", "fail"
    entry = vocabulary.entries[match.code][1]
    return entry.check, entry.outcome


def _from_numbers(one: Recognitions, vocabulary: Vocabulary) -> tuple[np.ndarray, list[Check]]:
    """What the numbers in distinct texts tell: the text of each check, and the check."""
    known: dict[Measure, dict[tuple[str, ...], Check | None]] = {}
    spotted = [[(known.setdefault(measure, {}), measure, ends) for measure, ends in spots(piece.words)] for piece in one.pieces]
    runs = [_runs(piece, vocabulary) for piece in one.pieces]
    telling = np.array([bool(found) or run for found, run in zip(spotted, runs, strict=True)] or [False], dtype=bool)
    wanted = np.flatnonzero(telling[one.places])
    codes = np.searchsorted(one.first, wanted, side="right") - 1
    owners: list[int] = []
    checks: list[Check] = []
    for code, place, piece, start in zip(codes.tolist(), wanted.tolist(), one.places[wanted].tolist(), one.starts[wanted].tolist(), strict=True):
        text = one.texts[code]
        found = spotted[piece]
        if runs[piece]:
            hours = _run_hours(one.pieces[piece], text, start, vocabulary)
            found = [*found, *((known.setdefault(measure, {}), measure, ends) for measure, ends in hours)]
        for made, measure, ends in found:
            if measure.open and place > one.first[code]:
                measure = _carried(measure, [one.pieces[before].words for before in one.places[one.first[code]:place]])
                made = known.setdefault(measure, {})
            numbers = tuple([text[start + first:start + last] for first, last in ends])
            if numbers not in made:
                made[numbers] = check_of(measure, numbers, vocabulary)
            if (check := made[numbers]) is not None:
                owners.append(code)
                checks.append(check)
    return np.array(owners, dtype=np.int64), checks


def _carried(measure: Measure, before: Sequence[str]) -> Measure:
    """The measure with the part that an earlier sentence names, back to a semicolon."""
    for piece in reversed(before):
        if piece.endswith(";"):
            return measure
        if part := last_named(piece, measure.unit):
            return measure._replace(named=part)
    return measure


def _runs(piece: Piece, vocabulary: Vocabulary) -> bool:
    return any(_is_run(match, vocabulary) for match in piece.matches)


def _is_run(match: Match, vocabulary: Vocabulary) -> bool:
    return match.certainty in ("stated", "inferred") and _of_match(match, vocabulary)[0] == RUN_TEST


def _run_hours(piece: Piece, text: str, start: int, vocabulary: Vocabulary) -> Iterator[tuple[Measure, tuple[tuple[int, int], ...]]]:
    """The hours that stand within the words of a run test, or directly behind them."""
    for match in piece.matches:
        if _is_run(match, vocabulary) and (found := HOURS_RUN.search(text[start + match.start:start + match.end + BEHIND])):
            first, last = found.span(1)
            yield Measure("hours"), ((match.start + first, match.start + last),)
