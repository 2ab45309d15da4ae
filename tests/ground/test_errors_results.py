"""Problems, documents, estimates and settings: the ground every room stands on."""

import dataclasses
import datetime as dt
import math
from typing import Literal

import numpy as np
import pandas as pd
import pytest
from pydantic import Field

from fleetstats.documents import Document, read_document
from fleetstats.errors import FleetstatsError, InputRefused, Problem
from fleetstats.results import Estimate, Result, content_sha256, plain
from fleetstats.settings import Settings, open_project


def test_a_problem_says_place_value_and_remedy_in_one_paragraph():
    """What, where, found, wanted, remedy: all five stand in the text."""
    text = str(Problem(what="ambiguous date", file="a.csv", row=118, column="Date in", found="03/04/24", wanted="one reading", remedy="Set date_order."))
    assert text == "a.csv, row 118, column 'Date in': ambiguous date; found '03/04/24', wanted one reading. Set date_order."


def test_a_refusal_names_every_file_before_it_repeats_one():
    """Nobody should have to import again and again to learn of the next file; what is left out is counted."""
    faults = [Problem(what=f"fault {number}", file="a.csv", remedy="Mend it.") for number in range(30)]
    lines = str(InputRefused([*faults, Problem(what="empty", file="b.csv", remedy="Export it again.")])).splitlines()
    assert lines[:2] == ["a.csv: fault 0. Mend it.", "b.csv: empty. Export it again."]
    assert (len(lines), lines[-1]) == (21, "And 11 more.")


def test_exit_codes_of_the_family_differ():
    """A script can tell refused input, unanswerable questions and a busy store apart."""
    codes = {cls.__name__: cls.exit_code for cls in FleetstatsError.__subclasses__()}
    assert codes == {"InputRefused": 3, "CannotAnswer": 4, "StoreBusy": 5}


def test_an_unknown_key_is_refused_with_the_nearest_known_one(tmp_path):
    """A typing error in a settings file changes no number in silence."""
    path = tmp_path / "fleetstats.toml"
    path.write_text('as_of = 2025-12-31\ncurrancy = "USD"\n')
    with pytest.raises(InputRefused, match='nearest known key is "currency"'):
        read_document(path, Settings)


class Part(Document):
    """A section of `Whole`."""

    word: Literal["net", "gross"] = "net"
    share: float = Field(0.1, ge=0, le=0.5)


class Whole(Document):
    """A document with a key of every kind."""

    part: Part = Part()
    text: str = "x"
    code: str = Field("EUR", pattern="^[A-Z]{3}$")
    sign: str = Field(",", min_length=1, max_length=1)
    number: int = 1
    flag: bool = True
    day: dt.date | None = None
    names: tuple[str, ...] = ()
    either: dict[str, str | float | bool] = Field(default_factory=dict)


@pytest.mark.parametrize(("line", "told"), [
    ("text = 5", "'text': a value of the wrong kind; found '5', wanted a text. Write it in double quotes."),
    ('number = "many"', "'number': a value of the wrong kind; found 'many', wanted a whole number. Write it without quotes."),
    ('flag = "perhaps"', "'flag': a value of the wrong kind; found 'perhaps', wanted true or false. Write one of these, without quotes."),
    ('day = "31.1.2026"', "'day': a value of the wrong kind; found '31.1.2026', wanted a day. Write it as 2026-01-31, without quotes."),
    ('names = "a.csv"', "'names': a value of the wrong kind; found 'a.csv', wanted a list. Write it in brackets, e.g. [\"...\"]."),
    ('part = "net"', "'part': a value of the wrong kind; found 'net', wanted a section of its own. Write it as a section."),
    ('[part]\nword = "nett"', "'part.word': no word that is known here; found 'nett', wanted \"net\" or \"gross\". Write one of these."),
    ("[part]\nshare = 2", "'part.share': a number out of its range; found '2', wanted at most 0.5. Mend this value."),
    ('code = "euro"', "'code': not written as it should be; found 'euro', wanted three capital letters, such as EUR. Mend this value."),
    ('sign = ";;"', "'sign': a text of the wrong length; found ';;', wanted at most 1 signs. Mend this value."),
    ("[either]\nx = []", "'either.x' has a value of the wrong kind, wanted one of: a text, a number, a whole number, true or false, a day. Mend this value."),
])
def test_a_value_of_the_wrong_kind_is_told_in_our_words(tmp_path, line: str, told: str):
    """Place, what stands there, what should and how to write it; never the wording of a library, nor that nothing was changed by what changes nothing."""
    path = tmp_path / "x.toml"
    path.write_text(line)
    with pytest.raises(InputRefused) as caught:
        read_document(path, Whole)
    assert [str(problem) for problem in caught.value.problems] == [f"x.toml: {told}"]


@pytest.mark.parametrize(("content", "words"), [(b"as_of = ", "not valid TOML"), (b"fleet = '\xff'", "not UTF-8"), (b"fleet = 'x'", "'as_of' is missing"),
                                               (b"[words.A]\na = 1\n\n[words.A]\n", r"the section \[words.A\] stands a second time in line 4"),
                                               (b"[fleet]\n[fleet]\n", r"the section \[fleet\] stands a second time in line 2"),
                                               (b"a = 1\na = 2\nb = 3\n", "a key stands a second time in its section in line 2")])
def test_a_broken_settings_file_names_itself_and_the_fault(tmp_path, content, words):
    """Each error names the file."""
    path = tmp_path / "fleetstats.toml"
    path.write_bytes(content)
    with pytest.raises(InputRefused, match=words) as caught:
        read_document(path, Settings)
    assert "fleetstats.toml" in str(caught.value)


def test_the_project_is_found_upwards_or_refused(tmp_path):
    """A command may be run anywhere inside a project; outside it says how to make one."""
    (tmp_path / "p" / "raw").mkdir(parents=True)
    (tmp_path / "p" / "fleetstats.toml").write_text("as_of = 2025-12-31\n")
    assert open_project(tmp_path / "p" / "raw").settings.quarter == "2025-Q4"
    with pytest.raises(InputRefused, match="fleetstats.toml"):
        open_project(tmp_path)


def test_bench_accuracy_without_counts_is_the_stated_prior_and_with_counts_their_own():
    """Beta(18, 1) where nobody tested twice; counts plus one half each otherwise."""
    settings = Settings.model_validate({"as_of": "2025-12-31", "bench": {"own": {"faulty_called_faulty": 45, "faulty_called_healthy": 5}}})
    assert settings.bench["own"].sensitivity() == (45.5, 5.5)
    assert settings.bench["own"].specificity() == (18.0, 1.0)


def test_json_holds_no_nan_and_dates_are_iso():
    """Missing and infinite numbers become null; NumPy numbers become plain ones."""
    value = {"a": np.float64("nan"), "b": math.inf, "c": np.int64(3), "d": pd.Timestamp("2025-03-04"), "e": pd.NA, "f": np.array([1.0, np.nan])}
    assert plain(value) == {"a": None, "b": None, "c": 3, "d": "2025-03-04", "e": None, "f": [1.0, None]}


def test_an_estimate_has_exactly_the_six_fields():
    """The one shape that outside checks rely on."""
    estimate = Estimate(estimate=1.0, lower=0.5, upper=float("inf"), level=0.9, method="by hand", unit="years")
    assert estimate.to_dict() == {"estimate": 1.0, "lower": 0.5, "upper": None, "level": 0.9, "method": "by hand", "unit": "years"}


def test_the_order_of_rows_does_not_change_a_fingerprint_but_a_value_does():
    """Fingerprints are of content."""
    frame = pd.DataFrame({"a": [1, 2], "b": ["x", "y"]})
    assert content_sha256(frame) == content_sha256(frame.iloc[::-1])
    assert content_sha256(frame) != content_sha256(frame.assign(a=[1, 3]))


def test_a_result_shows_its_cautions():
    """What must be read beside the number is shown beside the number, escaped."""
    assert "&lt;b&gt;" in Result(cautions=("<b>",))._repr_html_()


def test_a_result_shows_thousands_as_a_person_writes_them_and_gaps_as_gaps():
    """53,700 and not 5.37e+04; what may not be said is an empty cell, not NaN."""
    made = dataclasses.make_dataclass("Made", [("cost", Estimate)], bases=(Result,), frozen=True, kw_only=True)
    shown = made(cost=Estimate(estimate=53700.4, lower=1.23456, upper=None, level=0.9, method="by hand", unit="USD"))._repr_html_()
    assert "53,700" in shown
    assert "1.235" in shown
    assert "NaN" not in shown
    assert "None" not in shown
