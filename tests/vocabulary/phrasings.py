"""Phrasings written by somebody who has seen codes and definitions only: how many are read right, wrong, or not at all."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from fleetstats.vocabulary import Match, Vocabulary, load_vocabulary
from tests.sources.told import checks_told

DATA = Path(__file__).parent / "data"
EVENT = ("stated", "inferred")


def phrasings(number: int) -> pd.DataFrame:
    """List of this number: phrase, code, certainty."""
    return pd.read_csv(DATA / f"phrasings_{number}.csv", dtype="string")


def measured(wanted: pd.DataFrame, vocabulary: Vocabulary | None = None) -> pd.DataFrame:
    """The list with `result` (right, wrong, unknown) and `found`, what was read instead.

    right: the code is found, with the certainty where it is suspected or ruled out, else as stated or inferred; an item also as that of a finding or
    an action; a denied finding or sign also as the check of it that was passed; a check also by its value. wrong: another code of the facet makes an
    event and the code does not, or it makes one where it should be suspected or ruled out. unknown: the rest.
    """
    vocabulary = vocabulary or load_vocabulary()
    results = [_result(str(row["phrase"]), str(row["code"]), str(row["certainty"]), vocabulary) for row in wanted.to_dict("records")]
    return wanted.assign(result=[result for result, _ in results], found=[found for _, found in results])


def shares(results: pd.DataFrame) -> dict[str, float]:
    """Share of right, wrong and unknown."""
    return {name: float((results["result"] == name).mean()) for name in ("right", "wrong", "unknown")}


def _result(phrase: str, code: str, certainty: str, vocabulary: Vocabulary) -> tuple[str, str]:
    matches = vocabulary.read(phrase).matches
    found = "; ".join(f"{match.code} {match.certainty}" for match in matches)
    facet = vocabulary.facet(code)
    if facet == "check" and code in checks_told({"note": phrase}, vocabulary):
        return "right", found
    told = {match.certainty for match in matches if match.code == code or (facet == "item" and vocabulary.item(match.code) == code)}
    if certainty in EVENT:
        right = bool(told & set(EVENT))
    else:
        right = (certainty in told and not told & set(EVENT)) or (certainty == "ruled out" and not told and _passed(code, matches, vocabulary))
    if right:
        return "right", found
    event = told & set(EVENT)
    other = any(match.facet == facet and match.code != code and match.certainty in EVENT for match in matches)
    return ("wrong" if event or (other and not told) else "unknown"), found


def _passed(code: str, matches: tuple[Match, ...], vocabulary: Vocabulary) -> bool:
    check = "C01" if code in ("SYM_AMMONIA", "SYM_RESIDUE") else vocabulary.entries[code][1].check
    return any(match.facet == "pass" and match.code == check for match in matches)
