"""Why rows were merged: a declared list of codes, and what agreed, in words."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.records.packed import codes, day_numbers, document_form

EXACT_COPY = "exact copy"
COPIED_FILE = "copied file"
ESTIMATE = "estimate and invoice"
SPLIT = "payer split"
RESUBMITTED = "warranty resubmission"
REPORT = "renter, roadside and return"
TRANSFER = "transfer between branches"
DOCUMENT = "same document"
STAY = "same stay"
SAME_KEY = "same key"
SAME_TEST = "same test number"
SAME_DAY = "same unit and day of test"

MERGE_CODES = {
    EXACT_COPY: "says in everything what another row says; counted once",
    COPIED_FILE: "stands at the same place of a file with the same bytes; counted once",
    ESTIMATE: "two bills of one document for one payer; the later one counts, the earlier is replaced",
    SPLIT: "one visit billed to several payers; the amounts are added up, the share of each is kept",
    RESUBMITTED: "the same bill sent to the warranty again; counted once",
    REPORT: "a report of the failure without order number and money: by the renter, by the roadside, at the return",
    TRANSFER: "the same document, amount and date under the name of another shop",
    DOCUMENT: "the same document",
    STAY: "opened before the vehicle was released from the first",
    SAME_KEY: "names the same record of a table that has a key",
    SAME_TEST: "names the same bench and test number",
    SAME_DAY: "names the same unit, tested on the same day",
}
"""Code of a merger -> what it means. The reason of a merged row in `lineage` begins with its code."""

_AGREED = ("vehicle", "document", "amount", "opening day", "shop")


def merge_words(visits: pd.DataFrame, leaders: np.ndarray, repeats: np.ndarray, told: dict[str, np.ndarray], money: np.ndarray) -> np.ndarray:
    """The reason of every row of visits that is not its event's leader: its code, and in words what agrees with the leader; "" for leaders.

    leaders: position of the leading row, per row. repeats: code of a repetition, or "". told: code -> rows (boolean) of which the bills
    tell it. money: amount per row, NaN for none.
    """
    words = np.full(len(visits), "", dtype=object)
    merged = np.flatnonzero(leaders != np.arange(len(visits)))
    if not len(merged):
        return words
    agreed = _agreement(visits, merged, leaders[merged], money)
    bare = visits["document"].iloc[merged].isna().to_numpy(bool) & np.isnan(money[merged])
    same_document, elsewhere = agreed[:, 1], ~agreed[:, 4]
    choices = {
        **{code: told[code][merged] for code in (ESTIMATE, RESUBMITTED, SPLIT)},
        TRANSFER: same_document & agreed[:, 2] & elsewhere, DOCUMENT: same_document, REPORT: bare,
    }
    code = np.select(list(choices.values()), np.array(list(choices), dtype=object), np.array(STAY, dtype=object))
    words[merged] = _phrases(np.where(repeats[merged] != "", repeats[merged], code), agreed)
    return words


def _agreement(visits: pd.DataFrame, one: np.ndarray, two: np.ndarray, money: np.ndarray) -> np.ndarray:
    """Rows x _AGREED: what each row of `one` says as that of `two` does."""
    both = np.concatenate([one, two])
    rows = visits[["vehicle_id", "shop", "document", "opened_on", "date_in"]].iloc[both]
    begun = day_numbers(rows["opened_on"].where(rows["opened_on"].notna(), rows["date_in"]).reset_index(drop=True))
    same = [
        _equal(codes(rows["vehicle_id"])), _equal(codes(document_form(rows["document"]))), money[one] == money[two],
        begun[:len(one)] == begun[len(one):], _equal(codes(rows["shop"])),
    ]
    return np.column_stack(same)


def _equal(numbers: np.ndarray) -> np.ndarray:
    one, two = np.split(numbers, 2)
    return np.asarray(np.logical_and(one == two, one >= 0))


def _phrases(code: np.ndarray, agreed: np.ndarray) -> np.ndarray:
    """One text per row, made once per distinct code and agreement."""
    kinds = pd.MultiIndex.from_arrays([code, agreed @ (1 << np.arange(agreed.shape[1]))])
    place, distinct = pd.factorize(kinds)
    return np.array([_phrase(*kind) for kind in distinct], dtype=object)[place]


def _phrase(code: str, agreed: int) -> str:
    names = [name for bit, name in enumerate(_AGREED) if agreed >> bit & 1]
    if not names or code in (EXACT_COPY, COPIED_FILE):
        return code
    return f"{code}: {', '.join(names)} {'agree' if len(names) > 1 else 'agrees'}"
