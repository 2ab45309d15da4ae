"""Laws of an import: the order of rows and of files changes nothing, twice is once, and facts do not depend on the dress of a country."""

from __future__ import annotations

import datetime as dt
import random
import shutil
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from fleetstats.records import Fleet, import_files, load_fleet
from tests.properties.dress import DRESSES, Fact, write_project

PLACES = ("file", "sheet", "row", "sha256", "source")
START = dt.date(2018, 1, 1)
WHOLE = tuple(phase for phase in Phase if phase is not Phase.shrink)
"""Phases of a search; an import is too slow to shrink a failing example by thousands of them."""



@st.composite
def _facts(draw: st.DrawFn) -> list[Fact]:
    """A few visits of a few vehicles, some on days that two orders could read, some with a swap, a credit or readings."""
    facts = []
    for number in range(draw(st.integers(3, 9))):
        opened = START + dt.timedelta(days=draw(st.integers(0, 2500)))
        wrong = draw(st.sampled_from(["gas", "mains", "leak"]))
        facts.append(Fact(
            order=f"R{1000 + number}", vehicle=f"V{draw(st.integers(101, 105))}", opened=opened, came=opened + dt.timedelta(days=draw(st.integers(0, 4))),
            left=opened + dt.timedelta(days=draw(st.integers(4, 20))), wrong=wrong, hours=draw(st.integers(1, 60)) / 4,
            parts=draw(st.sampled_from([0.0, -150.0, 60.6, 1234.2])), labour=draw(st.integers(0, 400)) * 3.3, payer=draw(st.sampled_from(["fleet",
            "warranty", "renter"])),
            removed=f"K10{number}123" if wrong == "leak" else "", fitted=f"K20{number}456" if wrong == "leak" else "",
            mbar=draw(st.sampled_from([None, 27.4, 29.9])), box=draw(st.sampled_from([None, 3.0, 5.5]))))
    return facts


def _imported(folder: Path, facts: list[Fact], country: str, files: int = 1) -> Fleet:
    project = write_project(folder, facts, country, files)
    import_files(project, jobs=1)
    return load_fleet(project)


def _same(one: pd.DataFrame, two: pd.DataFrame, without: tuple[str, ...] = ()) -> None:
    """Both hold the same rows, whatever their order."""
    kept = [name for name in one.columns if name not in (*PLACES, *without)]
    frames = [frame[kept].sort_values(kept[:2], ignore_index=True) for frame in (one, two)]
    pd.testing.assert_frame_equal(*frames)


@settings(max_examples=4, deadline=None, phases=WHOLE, derandomize=True)
@given(facts=_facts(), files=st.integers(1, 3), seed=st.integers(0, 99))
def test_the_order_of_rows_and_files_changes_nothing(facts: list[Fact], files: int, seed: int):
    """The rows of an import shuffled, and dealt out to other files: the same visits, checks and payments; only places, and which row leads, differ."""
    shuffled = list(facts)
    random.Random(seed).shuffle(shuffled)
    with tempfile.TemporaryDirectory() as folder:
        one, two = _imported(Path(folder) / "one", facts, "US"), _imported(Path(folder) / "two", shuffled, "US", files)
    _same(one.visits, two.visits)
    _same(one.checks, two.checks)
    fates = [fleet.lineage["fate"].value_counts().to_dict() for fleet in (one, two)]
    assert fates[0] == fates[1]


@settings(max_examples=2, deadline=None, phases=WHOLE, derandomize=True)
@given(facts=_facts())
def test_twice_is_once(facts: list[Fact]):
    """A second import of the same files, read and joined anew since nothing of the first was kept, gives every table as the first did."""
    with tempfile.TemporaryDirectory() as folder:
        project = write_project(Path(folder), facts, "UK", 2)
        import_files(project, jobs=1)
        once = load_fleet(project)
        import_files(project, jobs=1)
        pd.testing.assert_frame_equal(load_fleet(project).lineage, once.lineage)
        project.store.unlink()
        shutil.rmtree(project.partitions)
        import_files(project, jobs=1)
        twice = load_fleet(project)
    for name in ("visits", "checks", "lineage", "files", "rejects"):
        pd.testing.assert_frame_equal(getattr(once, name), getattr(twice, name))


@pytest.mark.parametrize("country", [name for name in DRESSES if name != "US"])
@settings(max_examples=2, deadline=None, phases=WHOLE, derandomize=True)
@given(facts=_facts())
def test_the_same_facts_in_the_dress_of_another_country(country: str, facts: list[Fact]):
    """Orders of days, decimals, signs and tax of money, units, clocks and words differ; days, codes, serials, payers and what is refused do not, and numbers
    agree to what was written: hours to the minute, money to the cent before tax was added, a pressure to 0.01 in of water or kPa, a temperature to 0.1 degF
    or degC."""
    with tempfile.TemporaryDirectory() as folder:
        american, other = _imported(Path(folder) / "us", facts, "US"), _imported(Path(folder) / "them", facts, country)
    money = ["parts_cost", "labour_cost"]
    _same(american.visits, other.visits, without=("price_basis", "note", "symptom_words", "called_words", "action_words", "labour_hours", *money))
    one, two = (fleet.visits.sort_values("visit_id", ignore_index=True) for fleet in (american, other))
    np.testing.assert_allclose(one["labour_hours"], two["labour_hours"], atol=1 / 120)
    np.testing.assert_allclose(one[money].astype(float), two[money].astype(float), atol=0.0051)
    assert set(two["price_basis"].dropna().str[:3]) <= {"GBP", "AUD", "CAD"}
    checks = [fleet.checks.sort_values(["visit_id", "check"], ignore_index=True) for fleet in (american, other)]
    pd.testing.assert_frame_equal(checks[0].drop(columns="value"), checks[1].drop(columns="value"))
    for unit, resolution in (("Pa", 12.0), ("degC", 0.11)):
        values = [frame.loc[frame["unit"] == unit, "value"].astype(float) for frame in checks]
        np.testing.assert_allclose(*values, atol=resolution)
    assert sorted(american.rejects["what"]) == sorted(other.rejects["what"])
