"""The account as text."""

import pandas as pd
import pytest

from fleetstats.cli.account import COUNTED, account_text, cells_text, refused_text
from fleetstats.tables import REJECTS

FAULTS = pd.DataFrame([
    {"times": 9, "scope": "cell", "file": "a.csv", "column": "In", "what": "an ambiguous date", "remedy": "Set date_order."},
    {"times": 4, "scope": "row", "file": "a.csv", "column": "", "what": "no vehicle", "remedy": "Mend it in the file."},
    {"times": 2, "scope": "cell", "file": "b.csv", "column": "Out", "what": "an ambiguous date", "remedy": "Set date_order."},
])


def test_what_to_do_stands_below_the_faults_it_is_for():
    """Faults with one remedy stand together and the remedy once below them; rare faults beyond the first twenty are counted."""
    lines = refused_text(FAULTS).splitlines()
    assert [line.split()[0] for line in lines[1:]] == ["times", "9", "2", "->", "4", "->"]
    assert lines[4].strip() == "-> Set date_order."
    many = pd.concat([FAULTS, *[FAULTS.iloc[:1].assign(column=f"c{number}") for number in range(20)]])
    assert refused_text(many).splitlines()[-1] == "And 3 rarer faults."


@pytest.mark.parametrize("sign", ["\n", "\r\n", "\x0b", "\x1c", "\x85", "\u2028"])
def test_a_heading_of_several_lines_breaks_no_line_of_the_account(sign: str):
    """Whatever ends a line within a heading or a fault is told as a blank."""
    said = refused_text(FAULTS.assign(column=f"Date{sign}In", what=f"an ambiguous{sign}date"))
    assert len(said.splitlines()) == 7
    assert said.count("Date In") == said.count("an ambiguous date") == 3


def test_an_import_counts_what_was_refused_as_the_report_does():
    """Rows by their fate, cells apart: one refused row with three faults is one row."""
    files = pd.DataFrame([dict.fromkeys(COUNTED, 0) | {"file": "a.csv", "rows_read": 10, "accepted": 9, "rejected": 1}])
    said = account_text(files, pd.DataFrame(columns=["count", "text"]), 2, frequent=3)
    assert "Of 10 rows 1 was refused, 2 cells that could not be used were left empty." in said


def test_few_refused_cells_are_named_one_by_one():
    """Up to twenty cells stand with file, row, column, value and remedy; refused rows are not among them, and more cells are left to the JSON."""
    cell = {"file": "a.csv", "sheet": None, "row": 7, "column": "Out", "scope": "cell", "what": "an impossible date", "found": "31.04.2025", "wanted": None,
            "remedy": "Mend the date in the file."}
    rejects = REJECTS.check(pd.DataFrame([cell, cell | {"scope": "row", "row": 8}]))
    assert cells_text(rejects).splitlines() == ["Each cell that was left empty:", "a.csv, row 7, column 'Out': '31.04.2025', an impossible date",
                                                "   -> Mend the date in the file."]
    assert cells_text(REJECTS.check(pd.DataFrame([cell] * 20))).count("row 7") == 20
    assert not cells_text(REJECTS.check(pd.DataFrame([cell] * 21)))
    assert not cells_text(REJECTS.empty())
