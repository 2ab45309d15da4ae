"""The free texts of many rows to coded fields, checks and the question whether a row is about the refrigerator."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.sources.about import NAMES, is_refrigerator
from fleetstats.sources.judge import ORIGIN_WORDS, Place, Texts, judge_bench, judge_visit
from fleetstats.sources.readings import MEASURED, SOURCES, Check, read_checks
from fleetstats.sources.sections import by_role
from fleetstats.sources.unknown import shortened, summed_unknown
from fleetstats.vocabulary import Recognitions, Vocabulary
from fleetstats.vocabulary.recognitions import Parts

VISIT_FIELDS = ("symptom", "called_item", "called_mode", "certainty", "action", "removal_reason", "fitted_kind", "fitted_origin", "detection")
WORDS = ("symptom_words", "called_words", "action_words")
BENCH_FIELDS = ("sender_symptom", "sender_item", "sender_mode", "mode", "outcome")
CHECK_COLUMNS = {"sheet": "string", "row": "Int64", "check": "string", "outcome": "string", "value": "float64", "unit": "string", "ambient": "float64",
                 "elapsed_hours": "float64"}
TERMS = NAMES | SOURCES | {word for word, _ in ORIGIN_WORDS}
"""Classes of words that what is made of a text depends on."""

MOST_MATCHES = 1 << 20


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
        found = [one for recognised in self.recognised.values() for one in _unknown(recognised, kept, self.aside.index.to_numpy())]
        return summed_unknown(pd.DataFrame(found, columns=["text", "count", "example", "row"]).assign(file="", sheet=None))


@contextmanager
def _uncollected() -> Iterator[None]:
    """Without the search for circular references: the many small tuples made here hold none, and a fifth of the time would go into looking for them."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


@_uncollected()
def read_texts(texts: pd.DataFrame, vocabulary: Vocabulary, *, table: str, mixed: bool) -> RowTexts:
    """Each distinct combination of what the texts of a row say is judged once.

    texts: one column per helper column, index the row numbers. table: "visits" or "bench_tests".
    """
    roles = by_role(texts)
    recognised = {role: vocabulary.recognise(roles[role]) for role in roles.columns}
    meanings = {role: one.meanings(TERMS)[one.codes] for role, one in recognised.items()}
    group, first = _grouped(meanings, len(texts))
    each = _Each(recognised)
    said = [each(row) for row in first.tolist()]
    judged = [judge_visit(row, vocabulary) if table == "visits" else judge_bench(row, vocabulary) for row in said]
    names = VISIT_FIELDS if table == "visits" else BENCH_FIELDS
    fields = {name: _scattered([one.fields[name] for one in judged], group) for name in names}
    checks = _check_rows([], np.empty(0, dtype=int), texts.index)
    if table == "visits":
        fields["note"] = _note(roles)
        fields |= {name: _words([one.places[name] for one in judged], group, recognised) for name in WORDS}
        checks = _checks(recognised, each, meanings, vocabulary, texts.index)
    about = np.array([not mixed or is_refrigerator(row, vocabulary) for row in said] or [True])
    aside = pd.Series(~about[group], index=texts.index)
    return RowTexts(fields=pd.DataFrame(fields, index=texts.index).astype("string"), checks=checks, aside=aside, recognised=recognised)


def _grouped(columns: dict[str, np.ndarray], rows: int) -> tuple[np.ndarray, np.ndarray]:
    """Place of each row's combination of numbers, and the first row of each combination."""
    group = np.zeros(rows, dtype=np.int64)
    for numbers in columns.values():
        group = pd.factorize(group * (int(numbers.max(initial=0)) + 1) + numbers)[0]
    _, first = np.unique(group, return_index=True)
    return group, first


class _Each:
    """What the texts of a row say, by role, without the empty ones; each distinct text put together once."""

    def __init__(self, recognised: dict[str, Recognitions]) -> None:
        self._roles = [(role, one.codes.tolist(), [one.of(code) for code in range(len(one.texts))]) for role, one in recognised.items()]

    def __call__(self, row: int) -> Texts:
        return {role: text for role, codes, texts in self._roles if (text := texts[codes[row]]).text}


def _scattered(values: list[str | None], group: np.ndarray) -> np.ndarray:
    scattered: np.ndarray = np.array(values or [None], dtype=object)[group]
    return scattered


def _words(places: list[Place | None], group: np.ndarray, recognised: dict[str, Recognitions]) -> np.ndarray:
    """Per row the words of the match from which a field was read; equal words are one object."""
    words = np.full(len(group), None, dtype=object)
    same: dict[str, str] = {}
    for role, one in recognised.items():
        numbers = np.array([place[1] if place is not None and place[0] == role else -1 for place in places] or [-1])[group]
        rows = np.flatnonzero(numbers >= 0)
        keys, codes = np.unique(one.codes[rows] * MOST_MATCHES + numbers[rows], return_inverse=True)
        told = (one.words(key // MOST_MATCHES, key % MOST_MATCHES) for key in keys.tolist())
        words[rows] = np.array([*(same.setdefault(text, text) for text in told), None], dtype=object)[codes]
    return words


def _note(roles: pd.DataFrame) -> np.ndarray:
    """The texts of a row one after the other; missing where there is none."""
    notes = [" | ".join(filter(None, texts)) or None for texts in zip(*(roles[role].to_numpy(dtype=object) for role in roles.columns), strict=True)]
    return np.array(notes, dtype=object) if notes else np.full(len(roles), None, dtype=object)


def _checks(recognised: dict[str, Recognitions], each: _Each, meanings: dict[str, np.ndarray], vocabulary: Vocabulary, rows: pd.Index) -> pd.DataFrame:
    """The checks of every row; texts with values are read each, the others once for all that say the same."""
    columns = {}
    timed = frozenset(code for code, (_, entry) in vocabulary.entries.items() if entry.check == "C17")
    for role, one in recognised.items():
        own = np.array([_measured(text, parts, timed) for text, parts in zip(one.texts, one.parts, strict=True)] or [False], dtype=bool)
        columns[role] = np.where(own[one.codes], one.codes + int(meanings[role].max(initial=0)) + 1, meanings[role])
    group, first = _grouped(columns, len(rows))
    known: dict[str, list[Check]] = {}
    return _check_rows([read_checks(each(row), vocabulary, known) for row in first.tolist()], group, rows)


def _measured(text: str, parts: Parts, timed: frozenset[str]) -> bool:
    """Whether the checks of a text depend on its very words; timed: the codes whose check holds hours."""
    return MEASURED.search(text) is not None or any(match.code in timed for _, piece in parts for match in piece.matches)


def _check_rows(done: list[list[Check]], group: np.ndarray, rows: pd.Index) -> pd.DataFrame:
    table = pd.DataFrame([(place, *check) for place, checks in enumerate(done) for check in checks], columns=["place", *Check._fields])
    joined = pd.DataFrame({"row": rows.to_numpy()[:len(group)], "place": group}).merge(table, on="place").drop(columns="place")
    return joined.assign(sheet=None)[list(CHECK_COLUMNS)].astype(CHECK_COLUMNS)


def _unknown(recognised: Recognitions, kept: np.ndarray, rows: np.ndarray) -> Iterator[tuple[str, int, str, int]]:
    """Words, how many of the kept rows hold them, an example and its row; once per distinct text."""
    read = kept & (recognised.codes >= 0)
    codes, first, times = np.unique(recognised.codes[read], return_index=True, return_counts=True)
    for code, count, row in zip(codes.tolist(), times.tolist(), rows[read][first].tolist(), strict=True):
        parts, text = recognised.parts[code], recognised.texts[code]
        words = [run for _, piece in parts for run in piece.unmatched]
        if words and not any(piece.matches for _, piece in parts):
            words = [shortened(text).lower()]
        if words:
            example = shortened(text)
            yield from ((run, count, example, row) for run in words)
