"""Vehicle numbers as shops write them, matched to the register."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import pandas as pd

from fleetstats.records.spelling import digits, folded, normal, without_zeros

WAYS: tuple[tuple[str, Callable[[str], str]], ...] = (
    ("written otherwise", normal),
    ("leading zeros", without_zeros),
    ("digits alone", digits),
    ("confusion of letters", lambda text: folded(without_zeros(text))),
)
"""How a number may differ from the register's, tried in this order; a way counts only where it names one vehicle."""


def match_vehicles(written: Iterable[str], register: Iterable[str]) -> pd.DataFrame:
    """The register's number for every distinct spelling.

    Returns one row per spelling (the index): vehicle_id, how. `how` is "" for a literal match and "not in the register"
    where no way names exactly one vehicle; the spelling is then kept. Digits alone match only a spelling without letters
    on one side: '118' is C-118, but 'D-118' is not.
    """
    known = sorted(set(register))
    indices = [(how, way, _unique(known, way)) for how, way in WAYS]
    literal = set(known)
    rows = {text: (text, "") if text in literal else _match(text, indices) for text in sorted(set(written))}
    return pd.DataFrame.from_dict(rows, orient="index", columns=["vehicle_id", "how"], dtype="string")


def own_register(written: Iterable[str], way: Callable[[str], str] = without_zeros) -> list[str]:
    """One spelling for every number, the commonest one, ties by the alphabet. way: texts for which it gives the same are one number."""
    counts = pd.Series(list(written), dtype="string").value_counts()
    table = pd.DataFrame({"text": counts.index, "count": counts.to_numpy()}).sort_values(["count", "text"], ascending=[False, True])
    table["form"] = table["text"].map(way)
    return sorted(table.drop_duplicates("form")["text"])


def _unique(known: list[str], way: Callable[[str], str]) -> dict[str, str]:
    forms = pd.Series(known, index=[way(text) for text in known], dtype="string")
    forms = forms[forms.index != ""]
    return {str(form): str(text) for form, text in forms[~forms.index.duplicated(keep=False)].items()}


def _match(text: str, indices: list[tuple[str, Callable[[str], str], dict[str, str]]]) -> tuple[str, str]:
    for how, way, index in indices:
        found = index.get(way(text))
        if found is None or (how == "digits alone" and not (_only_digits(text) or _only_digits(found))):
            continue
        return found, how
    return text, "not in the register"


def _only_digits(text: str) -> bool:
    return normal(text).isdigit()
