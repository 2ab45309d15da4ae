"""The free texts of many rows to coded fields, checks and the question whether a row is about the refrigerator."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from fleetstats.sources.about import NAMES, is_refrigerator
from fleetstats.sources.judge import ORIGIN_WORDS, Place, Texts, judge_bench, judge_visit
from fleetstats.sources.masking import stands_as_name
from fleetstats.sources.sections import Spoken, by_role
from fleetstats.sources.text_checks import CHECK_COLUMNS, SOURCES, checks_of_rows
from fleetstats.sources.unknown import shortened, summed_unknown
from fleetstats.vocabulary import Recognition, Recognitions, Vocabulary

VISIT_FIELDS = ("symptom", "called_item", "called_mode", "certainty", "action", "removal_reason", "fitted_kind", "fitted_origin", "detection")
WORDS = ("symptom_words", "called_words", "action_words")
BENCH_FIELDS = ("sender_symptom", "sender_item", "sender_mode", "mode", "outcome")
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

        A text of which nothing was recognised appears whole. A lone word that stands capitalised within a sentence may be a name: it is left out.
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
    recognised = {role: _recognised(spoken, vocabulary) for role, spoken in roles.items()}
    group, first = _grouped([one.meanings(TERMS)[one.codes] for one in recognised.values()], len(texts))
    said = _said(recognised, first)
    judged = [judge_visit(row, vocabulary) if table == "visits" else judge_bench(row, vocabulary) for row in said]
    names = VISIT_FIELDS if table == "visits" else BENCH_FIELDS
    fields = {name: _scattered([one.fields[name] for one in judged], group) for name in names}
    if table == "visits":
        fields["note"] = _note(roles, len(texts))
        fields |= {name: _words([one.places[name] for one in judged], group, recognised) for name in WORDS}
    checks = checks_of_rows(recognised, said, group, vocabulary) if table == "visits" else checks_of_rows({}, [], group, vocabulary)
    about = np.array([not mixed or is_refrigerator(row, vocabulary) for row in said] or [True])
    return RowTexts(
        fields=pd.DataFrame(fields, index=texts.index).astype("string"), aside=pd.Series(~about[group], index=texts.index), recognised=recognised,
        checks=checks.assign(row=texts.index.to_numpy()[checks["row"]], sheet=None)[list(CHECK_COLUMNS)].astype(CHECK_COLUMNS),
    )


def _recognised(spoken: Spoken, vocabulary: Vocabulary) -> Recognitions:
    distinct = vocabulary.recognise(spoken.texts)
    return replace(distinct, codes=distinct.codes[spoken.codes])


def _said(recognised: Mapping[str, Recognitions], rows: np.ndarray) -> list[Texts]:
    """What the texts of these rows say, by role, without the empty ones; each distinct text put together once."""
    said: list[dict[str, Recognition]] = [{} for _ in rows]
    for role, one in recognised.items():
        codes, places = np.unique(one.codes[rows], return_inverse=True)
        texts = [one.of(code) for code in codes.tolist()]
        for texts_of_row, place in zip(said, places.tolist(), strict=True):
            if texts[place].text:
                texts_of_row[role] = texts[place]
    return list(said)


def _grouped(columns: list[np.ndarray], rows: int) -> tuple[np.ndarray, np.ndarray]:
    """Place of each row's combination of numbers, and the first row of each combination."""
    group = np.zeros(rows, dtype=np.int64)
    for numbers in columns:
        group = pd.factorize(group * (int(numbers.max(initial=0)) + 1) + numbers)[0]
    _, first = np.unique(group, return_index=True)
    return group, first


def _scattered(values: list[str | None], group: np.ndarray) -> np.ndarray:
    scattered: np.ndarray = np.array(values or [None], dtype=object)[group]
    return scattered


def _words(places: list[Place | None], group: np.ndarray, recognised: dict[str, Recognitions]) -> np.ndarray:
    """Per row the words of the match from which a field was read; equal words are one object."""
    words = np.full(len(group), None, dtype=object)
    same: dict[str, str] = {}
    numbered = {role: number for number, role in enumerate(recognised)}
    of_role, numbers = np.array([(numbered[place[0]], place[1]) if place is not None else (-1, -1) for place in places] or [(-1, -1)]).T
    for role, one in recognised.items():
        rows = np.flatnonzero((of_role == numbered[role])[group])
        keys, codes = np.unique(one.codes[rows] * MOST_MATCHES + numbers[group[rows]], return_inverse=True)
        told = one.words(keys // MOST_MATCHES, keys % MOST_MATCHES)
        words[rows] = np.array([*(same.setdefault(text, text) for text in told), None], dtype=object)[codes]
    return words


def _note(roles: Mapping[str, Spoken], rows: int) -> np.ndarray:
    """The texts of a row one after the other; missing where there is none."""
    group, first = _grouped([spoken.codes for spoken in roles.values()], rows)
    texts = zip(*(spoken.texts[spoken.codes[first]] for spoken in roles.values()), strict=True)
    return _scattered([" | ".join(filter(None, row)) or None for row in texts], group)


def _unknown(recognised: Recognitions, kept: np.ndarray, rows: np.ndarray) -> Iterator[tuple[str, int, str, int]]:
    """Words, how many of the kept rows hold them, an example and its row; once per distinct text."""
    codes, first, times = np.unique(recognised.codes[kept], return_index=True, return_counts=True)
    strange = recognised.strange()
    for code, count, row in zip(codes.tolist(), times.tolist(), rows[kept][first].tolist(), strict=True):
        if strange[code]:
            parts, text = recognised.parts(code), str(recognised.texts[code])
            words = [run for _, piece in parts for run in piece.unmatched if " " in run or not stands_as_name(run, text)]
            if not any(piece.matches for _, piece in parts):
                words = [shortened(text).lower()]
            yield from ((run, count, shortened(text), row) for run in words)
