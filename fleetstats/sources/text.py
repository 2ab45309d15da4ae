"""The free texts of many rows to coded fields, checks and the question whether a row is about the refrigerator."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.sources.about import is_refrigerator
from fleetstats.sources.judge import Place, judge_bench, judge_visit
from fleetstats.sources.readings import Check, read_checks
from fleetstats.sources.sections import by_role
from fleetstats.sources.unknown import shortened, summed_unknown
from fleetstats.vocabulary import Recognition, Recognitions, Vocabulary

VISIT_FIELDS = ("symptom", "called_item", "called_mode", "certainty", "action", "removal_reason", "fitted_kind", "fitted_origin", "detection")
WORDS = ("symptom_words", "called_words", "action_words")
BENCH_FIELDS = ("sender_symptom", "sender_item", "sender_mode", "mode", "outcome")
CHECK_COLUMNS = {"sheet": "string", "row": "Int64", "check": "string", "outcome": "string", "value": "float64", "unit": "string", "ambient": "float64",
                 "elapsed_hours": "float64"}


@dataclass(frozen=True, kw_only=True)
class RowTexts:
    """What the texts of the rows of one sheet say; everything by row number.

    fields: coded fields and note. checks: one row per check done. aside: rows not about the refrigerator.
    """

    fields: pd.DataFrame = field(repr=False)
    checks: pd.DataFrame = field(repr=False)
    aside: pd.Series = field(repr=False)
    recognised: dict[str, Recognitions] = field(repr=False)

    def unknown(self, rows: pd.Index) -> pd.DataFrame:
        """Words of these rows that the vocabulary does not know: text, count, example (a masked text they stand in) and its row.

        A text of which nothing was recognised appears whole.
        """
        kept = self.aside.index.isin(rows)
        found: list[tuple[str, int, str, int]] = []
        for recognised in self.recognised.values():
            read = kept & (recognised.codes >= 0)
            codes, first = np.unique(recognised.codes[read], return_index=True)
            places = self.aside.index[read][first]
            times = np.bincount(recognised.codes[read], minlength=len(recognised.distinct))[codes]
            for code, count, row in zip(codes, times, places, strict=True):
                recognition = recognised.distinct[code]
                for words in recognition.unmatched if recognition.matches else _whole(recognition):
                    found.append((words, int(count), shortened(recognition.text), int(row)))
        return summed_unknown(pd.DataFrame(found, columns=["text", "count", "example", "row"]).assign(file="", sheet=None))


def _whole(recognition: Recognition) -> tuple[str, ...]:
    return (shortened(recognition.text).lower(),) if recognition.unmatched else ()


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
    fields = pd.DataFrame({name: np.array([one.fields[name] for one in judged] or [None], dtype=object)[group] for name in names},
                          index=texts.index).astype("string")
    if table == "visits":
        fields["note"] = _note(roles)
        for name in WORDS:
            fields[name] = _words([one.places[name] for one in judged], combinations, recognised)[group]
            fields[name] = fields[name].astype("string")
    aside = pd.Series(~np.array(about or [True])[group], index=texts.index)
    return RowTexts(fields=fields, checks=_check_rows(done, group, texts.index), aside=aside, recognised=recognised)


def _combinations(codes: pd.DataFrame) -> tuple[np.ndarray, list[tuple[int, ...]]]:
    """Place of each row's combination, and the distinct combinations."""
    if not len(codes.columns):
        return np.zeros(len(codes), dtype=int), [()] if len(codes) else []
    distinct, group = np.unique(codes.to_numpy(), axis=0, return_inverse=True)
    return group.reshape(-1), [tuple(int(code) for code in row) for row in distinct]


def _words(places: list[Place | None], combinations: list[tuple[int, ...]], recognised: dict[str, Recognitions]) -> np.ndarray:
    """Per combination the words of the match at its place."""
    roles = {role: number for number, role in enumerate(recognised)}
    words: list[str | None] = [None] * max(len(places), 1)
    for number, (place, combination) in enumerate(zip(places, combinations, strict=True)):
        if place is not None:
            text = recognised[place[0]].distinct[combination[roles[place[0]]]]
            match = text.matches[place[1]]
            words[number] = text.text[match.start:match.end]
    return np.array(words, dtype=object)


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
