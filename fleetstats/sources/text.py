"""The free texts of many rows to coded fields, checks and the question whether a row is about the refrigerator."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.sources.about import is_refrigerator
from fleetstats.sources.judge import judge_bench, judge_visit
from fleetstats.sources.readings import Check, read_checks
from fleetstats.sources.sections import by_role
from fleetstats.vocabulary import Recognition, Recognitions, Vocabulary

VISIT_FIELDS = ("symptom", "called_item", "called_mode", "certainty", "action", "removal_reason", "fitted_kind", "fitted_origin", "detection")
BENCH_FIELDS = ("sender_symptom", "sender_item", "sender_mode", "mode", "outcome")
CHECK_COLUMNS = {"sheet": "string", "row": "Int64", "check": "string", "outcome": "string", "value": "float64", "unit": "string", "ambient": "float64",
                 "elapsed_hours": "float64"}


LONGEST_UNKNOWN = 120


@dataclass(frozen=True, kw_only=True)
class RowTexts:
    """What the texts of the rows of one sheet say; everything by row number.

    fields: coded fields and note. checks: one row per check done. aside: rows not about the refrigerator.
    """

    fields: pd.DataFrame = field(repr=False)
    checks: pd.DataFrame = field(repr=False)
    aside: pd.Series = field(repr=False)
    recognised: dict[str, Recognitions] = field(repr=False)

    def unknown(self, rows: pd.Index) -> Counter[str]:
        """Words of these rows that the vocabulary does not know, with their count; a text of which nothing was recognised appears whole."""
        kept = self.aside.index.isin(rows)
        counts: Counter[str] = Counter()
        for recognised in self.recognised.values():
            times = np.bincount(recognised.codes[kept & (recognised.codes >= 0)], minlength=len(recognised.distinct))
            for recognition, count in zip(recognised.distinct, times, strict=True):
                for words in recognition.unmatched if recognition.matches else _whole(recognition):
                    counts[words] += int(count)
        return +counts


def _whole(recognition: Recognition) -> tuple[str, ...]:
    text = " ".join(recognition.text.lower().split())
    return (text if len(text) <= LONGEST_UNKNOWN else text[:LONGEST_UNKNOWN - 1] + "…",) if recognition.unmatched else ()


def read_texts(texts: pd.DataFrame, vocabulary: Vocabulary, *, table: str, mixed: bool) -> RowTexts:
    """Each distinct combination of texts is judged once.

    texts: one column per helper column, index the row numbers. table: "visits" or "bench_tests".
    """
    roles = by_role(texts)
    recognised = {role: vocabulary.recognise(roles[role]) for role in roles.columns}
    codes = pd.DataFrame({role: recognition.codes for role, recognition in recognised.items()}, index=texts.index)
    group, combinations = _combinations(codes)
    judged, about, done = [], [], []
    for combination in combinations:
        row = {role: recognised[role].distinct[code] for role, code in zip(codes.columns, combination, strict=True) if recognised[role].distinct[code].text}
        judged.append(judge_visit(row, vocabulary) if table == "visits" else judge_bench(row, vocabulary))
        about.append(not mixed or is_refrigerator(row, vocabulary))
        done.append(read_checks(row, vocabulary) if table == "visits" else [])
    names = VISIT_FIELDS if table == "visits" else BENCH_FIELDS
    fields = pd.DataFrame({name: np.array([one[name] for one in judged] or [None], dtype=object)[group] for name in names}, index=texts.index).astype("string")
    if table == "visits":
        fields["note"] = _note(roles)
    aside = pd.Series(~np.array(about or [True])[group], index=texts.index)
    return RowTexts(fields=fields, checks=_check_rows(done, group, texts.index), aside=aside, recognised=recognised)


def _combinations(codes: pd.DataFrame) -> tuple[np.ndarray, list[tuple[int, ...]]]:
    """Place of each row's combination, and the distinct combinations."""
    if not len(codes.columns):
        return np.zeros(len(codes), dtype=int), [()] if len(codes) else []
    distinct, group = np.unique(codes.to_numpy(), axis=0, return_inverse=True)
    return group.reshape(-1), [tuple(int(code) for code in row) for row in distinct]


def _note(roles: pd.DataFrame) -> pd.Series:
    note = pd.Series("", index=roles.index, dtype="string")
    for role in roles.columns:
        both = (note != "") & (roles[role] != "")
        note = note + both.map({True: " | ", False: ""}).astype("string") + roles[role]
    return note.mask(note == "")


def _check_rows(done: list[list[Check]], group: np.ndarray, rows: pd.Index) -> pd.DataFrame:
    table = pd.DataFrame([(place, *check) for place, checks in enumerate(done) for check in checks], columns=["place", *Check._fields])
    joined = pd.DataFrame({"row": rows.to_numpy(), "place": group}).merge(table, on="place").drop(columns="place")
    return joined.assign(sheet=None)[list(CHECK_COLUMNS)].astype(CHECK_COLUMNS)
