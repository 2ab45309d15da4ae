import pytest

from fleetstats.errors import InputRefused
from fleetstats.sources import preview

PROFILE = """
files = ["shop.csv"]
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
"Fitter" = "technician"
"Phone" = "contact"
[values.payer]
"flt" = "fleet"
"""
HEAD = "No,In,Van,Said,Total,Pay,Fitter,Phone\n"
ROWS = ("A1,13/05/2021,V1,fridge warm ring Quill on 020 7946 0123,100.00,flt,Quillfern,020 7946 0123\n"
        "A2,05/25/2021,V2,smell of ammonia,1.234.50,50/50 fleet/warranty,Quillfern,\nA3,14/05/2021,V3,fridge warm,120.00,ditto,,\nTotal,,,,220.00,,,\n"
        + "".join(f"B{n},15/05/2021,V{n},fridge warm,1.0,whoever,,\n" for n in range(20)))


@pytest.fixture
def shown(write_project):
    """The preview of a file with a row in order, one with faults, one with a ditto, a total and others."""
    project = write_project({"shop.csv": HEAD + ROWS}, {"shop": PROFILE})
    file, = preview(project, project.profiles / "shop.toml")
    return file


def _cells(row):
    return {cell.column: cell for cell in row.cells}


def test_ten_rows_before_and_after(shown):
    """What stood in the file stands beside what it becomes; all rows are counted by fate; what the texts say is told."""
    assert [row.row for row in shown.rows] == list(range(2, 12))
    assert (shown.rows_read, shown.fates) == (24, {"kept": 23, "furniture": 1})
    first = _cells(shown.rows[0])
    assert {name: (first[name].before, first[name].after) for name in ("document", "date_in", "total_cost", "payer")} == {
        "document": ("A1", "A1"), "date_in": ("13/05/2021", "2021-05-13"), "total_cost": ("100.00", "100"), "payer": ("flt", "fleet")}
    assert shown.rows[1].from_texts["symptom"] == "SYM_AMMONIA"


def test_numbers_of_orders_are_shown_as_they_are_kept(write_project):
    """Ten digits of an identifier are no number to call; one that is written as such is refused, and masked."""
    rows = "4501234567,13/05/2021,V1,warm,1.00,flt,,\n+44 20 7946 0123,13/05/2021,V1,warm,1.00,flt,,\n"
    project = write_project({"shop.csv": HEAD + rows}, {"shop": PROFILE})
    file, = preview(project, project.profiles / "shop.toml")
    first, second = (_cells(row)["document"] for row in file.rows)
    assert (first.before, first.after) == ("4501234567", "4501234567")
    assert (second.before, second.after) == ("[phone]", None)


def test_what_was_refused_says_why(shown):
    """An impossible day, a figure with its marks in the wrong place and a split payer are empty, each with its reason and a remedy."""
    second = _cells(shown.rows[1])
    assert [second[name].after for name in ("date_in", "total_cost", "payer")] == [None, None, None]
    assert "impossible" in second["date_in"].why
    assert "two numbers" in second["total_cost"].why or "not read" in second["total_cost"].why
    assert "several payers" in second["payer"].why
    assert "several payers" in _cells(shown.rows[2])["payer"].why
    assert "inferred" not in _cells(shown.rows[2])["payer"].why
    assert (shown.rows[3].fate, shown.rows[3].reason) == ("furniture", "title or total")
    assert shown.further_problems == 14


def test_no_person_is_shown(shown):
    """Names, numbers to call and what a contact column holds are masked before they are shown."""
    text = repr(shown.rows)
    assert all(secret not in text for secret in ("Quill", "7946", "0123"))
    assert _cells(shown.rows[0])["contact"].before == "(a name)"


def test_a_profile_that_names_no_file_is_refused(write_project, tmp_path):
    """The remedy says where the file should lie; a profile need not lie in profiles/ yet."""
    project = write_project({"other.csv": HEAD + ROWS})
    draft = tmp_path / "draft.toml"
    draft.write_text(PROFILE, encoding="utf-8")
    with pytest.raises(InputRefused, match="no file of raw/ is called shop.csv"):
        preview(project, draft)
    draft.write_text(PROFILE.replace("shop.csv", "other.csv"), encoding="utf-8")
    assert preview(project, draft, rows=2)[0].file == "other.csv"
