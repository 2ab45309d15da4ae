"""Every parser against what nobody would write: a value or a fault, never an exception, an endless wait or memory without end.

The fast run tries a few dozen examples each; `python -m pytest -n 0 -m slow tests/faults/test_fuzz.py` gives 100,000 values to every parser of cells
and texts, 5,000 files to every reader and as many profiles to their loader, and holds the whole process to 1 GiB.
"""

from __future__ import annotations

import datetime as dt
import json
import resource
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleetstats.errors import InputRefused
from fleetstats.sources.amounts import amount_parser, number_parser, pays_warranty
from fleetstats.sources.cell import Fault, unless_missing
from fleetstats.sources.codes import code_parser
from fleetstats.sources.columns import shown
from fleetstats.sources.dates import count_dates, date_parser
from fleetstats.sources.hours import count_points, hours_parser
from fleetstats.sources.masking import mask, mask_all, pseudonym
from fleetstats.sources.payers import one_payer
from fleetstats.sources.plain_values import plain_amounts, plain_dates, plain_identifiers, plain_serials
from fleetstats.sources.profile import Format, Profile, load_profile
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.readers import READERS
from fleetstats.sources.serials import serial_parser
from fleetstats.sources.text import read_texts
from fleetstats.sources.vehicle_marks import masked_vin
from fleetstats.vocabulary import load_vocabulary

VOCABULARY = load_vocabulary()
AT_ONCE = 20
"""Texts given together, as the cells of one column."""

EXAMPLES, FILES = 100_000, 5_000
GIBIBYTE_KB = 1 << 20
PATIENCE = dt.timedelta(seconds=10)
"""Longest time for one example, on a machine that does other work too."""

TRADE = ("1.30", "1½", "1 h 30", "45123", "04/07/23", "4 juil. 2023", "10-12", "1 234,50 $", "(5.00) CR", "OL", "64r", "11\"", "27mb", "ditto", "K1O-0123",
         "fridge not cooling on gas, elem OL, lp 11wc; repl cu", "call 020 7946 0123", "ne refroidit pas", "1e309", "9" * 400, "\u0661\u0662",
         "50/50 fleet/warranty")
SIGNS = st.sampled_from("0123456789.,:;/-+()%'\"$£€½¼ \u00a0\u202f\u2212\u2126hHmMwWvVrRcCfFoOlL#\t\n\u0660\u00b2Ⅷ\u2460")
REPEATED = ("9", "(", "a", " ", "1/", "-", "fridge ", "\u0300", "0:", "no ", "@", "+44 ")
LONG = st.tuples(st.sampled_from(REPEATED), st.integers(1, 200)).map(lambda pair: pair[0] * pair[1])
"""What backtracking or a square of the length would show; texts of pages stand in tests/sources/test_endless.py."""

TEXTS = st.one_of(st.sampled_from(TRADE), st.text(SIGNS, max_size=24), st.text(max_size=40), LONG,
                  st.tuples(st.sampled_from(TRADE), st.text(max_size=6), st.sampled_from(TRADE)).map(" ".join))
MANY_TEXTS = st.lists(TEXTS, min_size=AT_ONCE, max_size=AT_ONCE)
NATIVES = st.one_of(st.integers(), st.floats(), st.booleans(), st.dates(), st.datetimes(), st.times(), st.timedeltas(), st.none())
VALUES = st.one_of(TEXTS, NATIVES)


def _either(parse: Callable[[object], object], *kinds: type) -> Callable[[object], None]:
    def held(value: object) -> None:
        meaning = parse(value)
        assert meaning is None or isinstance(meaning, (Fault, *kinds)), (value, meaning)
        if isinstance(meaning, float):
            assert abs(meaning) < float("inf")
    return held


def _plain(read: Callable[[list[object]], object]) -> Callable[[object], None]:
    return lambda value: None if value is None else (read([value, "1"]), None)[1]


CELL_PARSERS: dict[str, Callable[[object], None]] = {
    **{f"dates {order}": _either(unless_missing(date_parser(order)), dt.date) for order in (None, "dmy", "mdy", "ymd")},
    "dates 1904": _either(date_parser("dmy", date_system="1904", covered=(dt.date(1920, 1, 1), dt.date(2030, 1, 1))), dt.date),
    **{f"hours {unit} {point}": _either(unless_missing(hours_parser(unit, point)), float, int) for unit, point in (("hours", None), ("minutes", "minutes"))},
    "amounts .": _either(unless_missing(amount_parser(".", ",", "USD")), float), "amounts ,": _either(amount_parser(",", " "), float),
    "numbers": _either(number_parser(".", ""), float), "serials": _either(unless_missing(serial_parser()), str),
    "payers": _either(one_payer(lambda value: Fault(what="no", wanted="yes"), ["fleet", "warranty"]), str),
    **{f"codes {name}": _either(code_parser(name, VOCABULARY), str) for name in ("symptom", "called_item", "mode", "action")},
    "plain amounts": _plain(plain_amounts(".", ",", None)), "plain identifiers": _plain(plain_identifiers), "plain serials": _plain(plain_serials),
    "plain dates": _plain(plain_dates("dmy")),
    "columns": lambda value: (count_dates([value]), count_points([value]), pays_warranty(value), None)[-1],
}
TEXT_PARSERS: dict[str, Callable[[list[str]], None]] = {
    "masking": lambda texts: _are_texts([mask(text) + shown(text) + pseudonym(text, b"key") + (masked_vin(text) or "") for text in texts]),
    "words of a visit": lambda texts: _as_many(texts, _read_words("visits", {"complaint_text": texts, "correction_text": texts[::-1]})),
    "words of a bench": lambda texts: _as_many(texts, _read_words("bench_tests", {"cause_text": texts})),
}


def _read_words(table: str, columns: dict[str, list[str]]) -> pd.DataFrame:
    return read_texts(pd.DataFrame(columns, dtype="string"), VOCABULARY, table=table, mixed=table == "visits").fields


def _are_texts(texts: list[str]) -> None:
    assert all(isinstance(text, str) for text in texts)


def _as_many(texts: list[str], fields: pd.DataFrame) -> None:
    assert len(fields) == len(texts)


def _many(examples: int) -> settings:
    return settings(max_examples=examples, deadline=PATIENCE, database=None, derandomize=True, suppress_health_check=list(HealthCheck))


def _hold(strategy: st.SearchStrategy[object], check: Callable[[object], object], examples: int) -> None:
    """`check` of many examples; the process, which may have held more before, comes to no new peak of 1 GiB."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    _many(examples)(given(strategy)(lambda value: _nothing(check(value))))()
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < max(GIBIBYTE_KB, before + 1)


def _told(refused: InputRefused) -> None:
    assert all(problem.what and problem.remedy for problem in refused.problems)


def _nothing(_: object) -> None:
    return None


@pytest.mark.parametrize("name", sorted(CELL_PARSERS))
def test_cells(name: str):
    """Whatever stands in a cell, a text, a number, a date, is a value with a finite size, nothing, or a Fault."""
    _hold(VALUES, CELL_PARSERS[name], 60)


@pytest.mark.parametrize("name", sorted(TEXT_PARSERS))
def test_texts(name: str):
    """Whatever stands in a text is read and masked."""
    _hold(MANY_TEXTS, TEXT_PARSERS[name], 10)


def _each(parsers: Mapping[str, Callable[[Any], object]]) -> Callable[[Any], object]:
    """One value given to every parser, so that each meets all examples."""
    def held(value: object) -> None:
        for name, parse in parsers.items():
            try:
                parse(value)
            except Exception as error:
                error.add_note(f"parser: {name}")
                raise
    return held


@pytest.mark.slow
def test_cells_at_length():
    """As `test_cells`, 100,000 values, each given to every parser."""
    _hold(VALUES, _each(CELL_PARSERS), EXAMPLES)


@pytest.mark.slow
def test_texts_at_length():
    """As `test_texts`, 100,000 texts, each given to every parser."""
    _hold(MANY_TEXTS, _each(TEXT_PARSERS), EXAMPLES // AT_ONCE)


ROWS = st.lists(st.lists(TEXTS, max_size=5), max_size=6).map(lambda rows: "\n".join(",".join(row) for row in [["No", "In",
    "Said"], *rows]).encode(errors="replace"))
HALVES = st.sampled_from(["no cool \ud83d", "\udd25", "\ud83d\ud83d hot"])
"""Texts that no file but JSON, with its escapes, can hold."""

LEAVES = st.one_of(TEXTS, HALVES, st.integers(), st.floats(), st.none(), st.booleans())
KEYS_OF_JSON = st.sampled_from(["No", "In", "Said", "items", "", "\ud83d"])
JSONS = st.recursive(LEAVES, lambda one: st.one_of(st.lists(one, max_size=4), st.dictionaries(KEYS_OF_JSON, one, max_size=4)), max_leaves=12).map(
    lambda value: json.dumps(value).encode())
JSON_LINES = st.lists(JSONS, max_size=6).map(b"\n".join)
ODD = (b"[" * 100_000, b'{"No": ' * 5000, b'"' * 3001, b"\xff\xfeN\0o\0", b"PK\x03\x04" + b"\0" * 50, b"PAR1" + b"\0" * 20 + b"PAR1",
       b"SQLite format 3\0" + b"\0" * 200, b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600)
"""Depth without end, one quotation mark too many, marks of kinds of files with nothing behind them."""

BYTES = st.one_of(st.binary(max_size=200), ROWS, JSONS, JSON_LINES, st.sampled_from(ODD))
LAYOUTS: dict[str, dict[str, object]] = {"fixed": {"positions": {"No": (1, 2), "In": (3, 12)}, "header_row": 0}, "sqlite": {"query": "select * from a"}}


def _read(kind: str) -> Callable[[bytes], None]:
    layout = Format.model_validate({"kind": kind, **LAYOUTS.get(kind, {})})

    def read(data: bytes) -> None:
        try:
            sheets = READERS[kind](data, "shop.txt", layout)
        except InputRefused as refused:
            _told(refused)
            return
        assert all(isinstance(sheet, RawSheet) and sheet.rows_read >= 0 for sheet in sheets)
        for sheet in sheets:
            mask_all([*sheet.headings, *(str(value) for column in sheet.cells for value in sheet.cells[column].cat.categories)])
            mask_all([str(problem) for problem in (*sheet.doubtful, *sheet.notes)])
    return read


KINDS = sorted(kind for kind in READERS if kind != "postgresql")


@pytest.mark.parametrize("kind", KINDS)
def test_files(kind: str):
    """Bytes that are no file of that kind, or hardly one, are rows or a refusal with its problem."""
    _hold(BYTES, _read(kind), 60)


@pytest.mark.slow
def test_files_at_length():
    """As `test_files`, 5,000 files, each given to every reader."""
    _hold(BYTES, _each({kind: _read(kind) for kind in KINDS}), FILES)


KEYS = st.sampled_from(["files", "table", "mixed", "reporting_days", "format", "money", "columns", "constants", "values", "furniture", "coverage",
    "corrections", "x",
    "kind", "delimiter", "encoding", "positions", "header_row", "decimal", "thousands", "date_order", "currency", "tax", "tax_rate", "tax_column",
    "first_cell", "from",
    "to", "of", "query", "records", "server"])
SCALARS = st.one_of(st.sampled_from(['"csv"', '"visits"', '["*.csv"]', "2021-01-01", '"("', '"fixed"', "true", "1e400",
    "nan", '"../x"', '{ "No" = "document" }', '"..."', "[[1, 2]]",
    '"ditto"', "-1", "99999999999999999999", '{ "a" = [1, 2] }', '"GBP"', '"gross"']), st.text(SIGNS, max_size=8).map(lambda text: f'"{text}"'))
LINES = st.one_of(st.tuples(KEYS, SCALARS).map(" = ".join), KEYS.map("[{}]".format), st.tuples(KEYS, KEYS).map("[{0[0]}.{0[1]}]".format),
                  st.tuples(st.text(max_size=5), SCALARS).map(lambda pair: f'# "{pair[0]}" = "..."  {pair[1]}'), st.text(max_size=20))
PROFILES = st.lists(LINES, max_size=14).map(lambda lines: "\n".join(['files = ["a.csv"]', *lines, "[columns]", '"No" = "document"', '# "\\U0001F600" = "..."']))


def _profile(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.toml"
        path.write_bytes(text.encode(errors="surrogatepass"))
        try:
            assert isinstance(load_profile(path), Profile)
        except InputRefused as refused:
            _told(refused)


def test_profiles():
    """A profile of any lines loads or is refused with what is wrong."""
    _hold(PROFILES, _profile, 150)


@pytest.mark.slow
def test_profiles_at_length():
    """As `test_profiles`, 5,000 times."""
    _hold(PROFILES, _profile, FILES)

