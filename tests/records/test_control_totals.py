"""Control totals against hand sums on a small project."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from fleetstats.errors import InputRefused
from fleetstats.records import Fleet
from fleetstats.records.control_totals import compare_totals
from fleetstats.settings import Project, Settings

MONEY = [
    {"file": "a.csv", "payer": "fleet", "basis": "GBP net", "bills": 3, "read": 300.0, "kept": 250.0, "copies": 50.0},
    {"file": "a.csv", "payer": "warranty", "basis": "GBP net", "bills": 1, "read": 40.0, "kept": 40.0, "copies": 0.0},
    {"file": "a.csv", "payer": None, "basis": "GBP net", "bills": 1, "read": 5.0, "kept": 5.0, "copies": 0.0},
]


def fleet() -> Fleet:
    """A fleet of one file whose money is MONEY."""
    money = pd.DataFrame(MONEY).assign(**dict.fromkeys(("replaced", "left_out", "unclear", "superseded", "rejected"), 0.0))
    files = pd.DataFrame({"file": ["a.csv"], "sha256": ["x"], "source": ["a"]})
    return Fleet.from_tables({"files": files, "money_read": money}, Settings(as_of="2025-12-31"))


def compared(folder: Path, text: str) -> pd.DataFrame:
    """The comparison with a control.toml of that text."""
    (folder / "control.toml").write_text(text, encoding="utf-8")
    return compare_totals(Project(folder), fleet())


def test_a_total_of_one_payer_agrees_to_the_cent(tmp_path: Path) -> None:
    """The warranty paid 40.00: entered as 40.00 it agrees, as 40.01 it does not."""
    text = '[[total]]\nfile = "a.csv"\npayer = "warranty"\namount = {}\ncurrency = "GBP"\n'
    assert compared(tmp_path, text.format("40.00"))["verdict"].tolist() == ["agrees"]
    assert compared(tmp_path, text.format("40.01"))["verdict"].tolist() == ["0.01 less read than entered"]


def test_without_a_payer_every_bill_counts(tmp_path: Path) -> None:
    """300 + 40 + 5 that names no payer = 345."""
    row = compared(tmp_path, '[[total]]\nfile = "a.csv"\namount = 345\ncurrency = "GBP"\n').iloc[0]
    assert (row["read"], row["difference"], row["verdict"]) == (345.0, 0.0, "agrees")


def test_a_difference_as_large_as_the_copies_says_so(tmp_path: Path) -> None:
    """The ledger has 255 where 305 were read (a bill that names no payer counts as the fleet's), and bills of 50 stand twice: that is said."""
    row = compared(tmp_path, '[[total]]\nfile = "a.csv"\npayer = "fleet"\namount = 255\ncurrency = "GBP"\n').iloc[0]
    assert (row["difference"], row["kept"]) == (50.0, 255.0)
    assert row["verdict"] == "50.00 more read than entered; as much as bills that stand twice"


@pytest.mark.parametrize(("field", "line"), [
    ("file", 'file = "b.csv"\namount = 1\ncurrency = "GBP"'), ("currency", 'file = "a.csv"\namount = 1\ncurrency = "USD"'),
    ("payer", 'file = "a.csv"\npayer = "renter"\namount = 1\ncurrency = "GBP"'),
])
def test_a_total_of_what_is_not_there_is_refused(tmp_path: Path, field: str, line: str) -> None:
    """A file, currency or payer that the records do not have is named with what they have."""
    with pytest.raises(InputRefused) as refused:
        compared(tmp_path, f"[[total]]\n{line}\n")
    assert refused.value.problems[0].column == field


def test_without_totals_there_is_nothing_to_compare(tmp_path: Path) -> None:
    """No control.toml, no rows."""
    assert len(compare_totals(Project(tmp_path), fleet())) == 0
