import pandas as pd
import pytest

from fleetstats.records import import_files, load_fleet
from fleetstats.sources import read_sources

PROFILE = """
files = ["shop.csv"]
{mixed}
[format]
date_order = "dmy"
[money]
currency = "GBP"
tax = "net"
[columns]
"No" = "document"
"In" = "date_in"
"Van" = "vehicle_id"
"Said" = "complaint_text"
"Total" = "total_cost"
"Pay" = "payer"
"Out" = "removed_serial"
[constants]
shop = "Mill workshop"
[furniture]
first_cell = ["^total"]
"""
HEAD = "No,In,Van,Said,Total,Pay,Out\n"
FIRST = "A1,13/05/2021,V1,fridge warm,100.00,fleet,K100123\n"


def _rows(write_project, text: str, mixed: str = ""):
    source, = read_sources(write_project({"shop.csv": HEAD + text}, {"shop": PROFILE.format(mixed=mixed)}))
    return source


@pytest.mark.parametrize("word", ["ditto", '"""', "as above", "〃", "DITTO"])
def test_as_above_is_filled_and_told_as_inferred(write_project, word: str):
    """Day, payer and complaint of the row above hold for a row that says so; it says itself from which row each was taken."""
    word = word if word != '"""' else '""""'
    source = _rows(write_project, FIRST + f"A2,{word},V2,{word},120.00,{word},K100124\n")
    row = source.rows.iloc[1]
    assert (row["date_in"], row["payer"], row["symptom"]) == (pd.Timestamp("2021-05-13"), "fleet", source.rows.iloc[0]["symptom"])
    assert row["inferred"] == "date_in inferred: as in row 2 above; complaint_text inferred: as in row 2 above; payer inferred: as in row 2 above"
    assert source.problems == ()


def test_serials_money_and_orders_are_never_filled(write_project):
    """A serial, an amount or an order number belongs to one row: 'ditto' there is left empty, with a Problem each."""
    source = _rows(write_project, FIRST + "ditto,14/05/2021,V2,fridge warm,ditto,fleet,ditto\n")
    assert source.rows.iloc[1][["document", "total_cost", "removed_serial"]].isna().all()
    assert sorted(problem.column for problem in source.problems) == ["No", "Out", "Total"]
    assert {problem.row for problem in source.problems} == {3}


@pytest.mark.parametrize("between", ["TOTAL,,,,100.00,,\n", ",,,,,,\n", "A2,14/05/2021,V2,fridge warm,100.00,,\n", "A2,14/05/2021,V2,fridge warm,100.00,-,\n",
    "A2,14/05/2021,V2,fridge warm,100.00,see prev,\n"])
def test_a_row_above_that_does_not_settle_it(write_project, between: str):
    """A total, a blank line, an empty cell, a dash or another reference above says nothing: the cell is null, with a Problem."""
    source = _rows(write_project, FIRST + between + "A3,15/05/2021,V3,fridge warm,100.00,ditto,\n")
    assert pd.isna(source.rows.iloc[-1]["payer"])
    assert [problem for problem in source.problems if problem.row == 4 and problem.column == "Pay"]


def test_see_previous_is_of_the_same_vehicle(write_project):
    """'see prev' may mean the vehicle's visit before: the row above counts where it is of the same vehicle."""
    source = _rows(write_project, FIRST + "A2,14/05/2021,V1,see prev,100.00,fleet,\nA3,15/05/2021,V3,see prev,100.00,fleet,\n")
    assert source.rows["symptom"].notna().tolist() == [True, True, False]
    assert [(problem.row, problem.column) for problem in source.problems] == [(4, "Said")]


def test_the_first_row_and_a_mixed_file_have_nothing_above(write_project):
    """Above the first row stand the headings; in a file with other work the row above may be about a tyre."""
    assert pd.isna(_rows(write_project, "A1,13/05/2021,V1,fridge warm,100.00,ditto,\n").rows.iloc[0]["payer"])
    source = _rows(write_project, FIRST + "A2,14/05/2021,V2,fridge warm,100.00,ditto,\n", mixed="mixed = true")
    assert pd.isna(source.rows.iloc[1]["payer"])


def test_the_vehicle_of_the_row_above_is_taken_in_a_mixed_file_too(write_project):
    """Whatever was done in the row above, a ditto below its vehicle names that vehicle; nothing else is taken from it."""
    tyre = "A1,13/05/2021,V1,two new tyres,100.00,fleet,\n"
    source = _rows(write_project, tyre + "A2,14/05/2021,ditto,fridge warm,100.00,ditto,\n", mixed="mixed = true")
    last = source.rows.iloc[-1]
    assert last["vehicle_id"] == "V1"
    assert pd.isna(last["payer"])


def test_the_ledger_tells_what_was_inferred(write_project):
    """The row of lineage of an accepted visit says what was taken from above."""
    project = write_project({"shop.csv": HEAD + FIRST + "A2,ditto,V2,gas smell,120.00,ditto,\n"}, {"shop": PROFILE.format(mixed="")})
    import_files(project)
    lineage = load_fleet(project).lineage
    assert lineage.set_index("row").loc[3, "reason"] == "date_in inferred: as in row 2 above; payer inferred: as in row 2 above"
