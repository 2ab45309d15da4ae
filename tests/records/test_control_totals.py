"""Control totals against hand sums on a small project."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from fleetstats import tables
from fleetstats.errors import InputRefused
from fleetstats.records import Fleet, import_files, load_fleet
from fleetstats.records.control_totals import compare_totals
from fleetstats.settings import Project, Settings
from tests.records.quarters import write_quarters

MONEY = [
    {"file": "a.csv", "payer": "fleet", "basis": "GBP net", "bills": 3, "read": 300.0, "kept": 250.0, "copies": 50.0},
    {"file": "a.csv", "payer": "warranty", "basis": "GBP net", "bills": 1, "read": 40.0, "kept": 40.0, "copies": 0.0},
    {"file": "a.csv", "payer": None, "basis": "GBP net", "bills": 1, "read": 5.0, "kept": 5.0, "copies": 0.0},
]


def fleet(**further: pd.DataFrame) -> Fleet:
    """A fleet of one file whose money is MONEY."""
    money = pd.DataFrame(MONEY).assign(**dict.fromkeys(("replaced", "left_out", "unclear", "superseded", "rejected"), 0.0))
    files = pd.DataFrame({"file": ["a.csv"], "sha256": ["x"], "source": ["a"]})
    return Fleet.from_tables({"files": files, "money_read": money, **further}, Settings(as_of="2025-12-31"))


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


VISITED = tables.VISITS.conform(pd.DataFrame([
    {"visit_id": f"N:{number}", "vehicle_id": "V1", "total_cost": money, "price_basis": "GBP 2021-03 net"}
    for number, money in ((1, 45.0), (2, 45.0), (3, 210.0))]))
ROWS = tables.LINEAGE.conform(pd.DataFrame([
    {"table": "visits", "record_id": record, "file": "a.csv", "row": row, "fate": fate}
    for row, record, fate in ((2, "N:1", "accepted"), (3, "N:2", "accepted"), (4, "N:2", "merged"), (5, "N:3", "accepted"))]))
LOST = tables.REJECTS.conform(pd.DataFrame([
    {"file": "a.csv", "row": 7, "column": "Van", "scope": "row", "what": "the row has no vehicle_id"},
    {"file": "a.csv", "row": 9, "column": "Total", "field": "total_cost", "scope": "cell",
     "what": "an amount in another currency than the file's GBP", "found": "$ 45.00"},
    {"file": "a.csv", "row": 9, "column": "In", "field": "date_in", "scope": "cell", "what": "an ambiguous date", "found": "3/4/21"},
    {"file": "a.csv", "scope": "file", "field": "price_basis", "what": "it is not stated whether amounts hold tax: the amounts of 2 rows were kept out"},
    {"file": "b.csv", "row": 1, "column": "Van", "scope": "row", "what": "the row has no vehicle_id"}]))


def test_a_difference_names_the_rows_that_could_explain_it(tmp_path: Path) -> None:
    """45 too much: row 2 holds as much on its own (that of two rows is no one bill). 45 too little: what was refused or not read, by row."""
    said = {"visits": VISITED, "lineage": ROWS, "rejects": LOST}
    text = "".join(f'[[total]]\nfile = "a.csv"\namount = {entered}\ncurrency = "GBP"\n' for entered in (300, 390))
    (tmp_path / "control.toml").write_text(text)
    more, less = compare_totals(Project(tmp_path), fleet(**said))["verdict"]
    assert more == "45.00 more read than entered; a bill of as much stands in row 2"
    assert less == ("45.00 less read than entered; refused: row 7; an amount that could not be read stands in row 9; "
                    "it is not stated whether amounts hold tax: the amounts of 2 rows were kept out")


@pytest.mark.parametrize("fault", [
    {"column": "Serial out", "field": "removed_serial", "scope": "cell", "what": "words, not a serial number"},
    {"column": "VIN", "field": "vin", "scope": "cell", "what": "no vehicle identification number"},
    {"column": "In", "field": "date_in", "scope": "cell", "what": "a bare number; counted as a spreadsheet counts days it is 2021-03-01"},
    {"column": "Hours", "field": "labour_hours", "scope": "cell", "what": "not read as a number"},
    {"column": "total_cost", "scope": "remark", "what": "the amount is in another currency or tax than the other bills of its visit; it was not added"},
    {"column": "total_cost", "scope": "remark", "what": "two bills of one document for one payer; nothing says which is the later one"},
])
def test_only_money_that_was_not_read_is_lost(tmp_path: Path, fault: dict[str, str]) -> None:
    """A serial, a VIN, a day and hours hold no money, whatever their faults are called; what is left out or unclear was read and stands in the account."""
    (tmp_path / "control.toml").write_text('[[total]]\nfile = "a.csv"\namount = 390\ncurrency = "GBP"\n', encoding="utf-8")
    lost = tables.REJECTS.conform(pd.DataFrame([{"file": "a.csv", "row": 5, **fault}]))
    assert compare_totals(Project(tmp_path), fleet(rejects=lost))["verdict"].tolist() == ["45.00 less read than entered"]


def test_a_total_of_one_payer_names_rows_of_that_payer(tmp_path: Path) -> None:
    """Row 2 and its 45.00 are the warranty's, row 3 and its 45.00 nobody's and so the fleet's: either total names its own, and of amounts that could not be
    read too. Who would have paid a refused row nobody knows."""
    lost = tables.REJECTS.conform(pd.DataFrame([
        {"file": "a.csv", "row": row, "column": "Parts", "field": "parts_cost", "scope": "cell", "what": "not read as a number"} for row in (2, 3)]))
    said = {"visits": VISITED.assign(payer=pd.array(["warranty", None, "fleet"], dtype="string")), "rejects": pd.concat([lost, LOST.iloc[:1]])}
    said["lineage"] = ROWS[ROWS["row"] != 4]
    text = "".join(f'[[total]]\nfile = "a.csv"\namount = {entered}\ncurrency = "GBP"\npayer = "{payer}"\n'
                   for payer, read in (("fleet", 305), ("warranty", 40)) for entered in (read - 45, read + 1))
    (tmp_path / "control.toml").write_text(text, encoding="utf-8")
    more, less = "45.00 more read than entered; a bill of as much stands in row {}", "1.00 less read than entered; refused, whoever paid: row 7; {} row {}"
    unread = "an amount that could not be read stands in"
    assert compare_totals(Project(tmp_path), fleet(**said))["verdict"].tolist() == [more.format(3), less.format(unread, 3), more.format(2),
                                                                                     less.format(unread, 2)]


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


def test_what_reading_loses_is_known_by_its_column(tmp_path: Path) -> None:
    """A file whose second bill says 'see note' for its amount and whose third names no currency, tax and month; its dates and serials are faulty too. 100 of
    245 are read: row 3 is named, row 4's amount is said to be kept out, nothing else is."""
    project = write_quarters(tmp_path, {})
    (project.raw / "a.csv").write_text(
        "document,shop,vehicle_id,date_in,total_cost,price_basis,removed_serial\n1,North,c1,2020-05-01,100,GBP 2020-05 net,\n"
        "2,North,c2,2020-05-01,see note,GBP 2020-05 net,\n3,North,c3,3/4/20,45,,\n4,North,c4,number,,,see the number of 2020\n", encoding="utf-8")
    (tmp_path / "control.toml").write_text('[[total]]\nfile = "a.csv"\namount = 245\ncurrency = "GBP"\n', encoding="utf-8")
    import_files(project)
    assert compare_totals(project, load_fleet(project))["verdict"].tolist() == [
        "145.00 less read than entered; an amount that could not be read stands in row 3; the currency is not stated: the amounts of 1 row were kept out"]
