import pytest

from fleetstats.documents import validate
from fleetstats.errors import InputRefused
from fleetstats.sources import Profile, read_sources

PROFILE = """
files = ["shop.csv"]
[format]
date_order = "dmy"
hours_unit = "hours"
[money]
currency = "GBP"
tax_rate = 0.20
tax_column = "VAT"
[money.tax_values]
"inc" = "gross"
"exc" = "net"
[columns]
"No" = "document"
"In" = "date_in"
"Hrs" = "labour_hours"
"Total" = "total_cost"
"Pay" = "payer"
[values.payer]
"flt" = "fleet"
"warr" = "warranty"
"""
HEAD = "No,In,Hrs,Total,Pay,VAT\n"


@pytest.mark.parametrize("cell", ["50/50 fleet/warranty", "flt + warr", "warranty 60% rest fleet", "fleet & renter", "half warranty", "split"])
def test_a_split_payer_is_never_one_of_them(write_project, cell: str):
    """Two payers, or a share, in one cell: the payer is null and the Problem says why."""
    source, = read_sources(write_project({"shop.csv": HEAD + f"A1,13/05/2021,1,100,{cell},exc\n"}, {"shop": PROFILE}))
    assert source.rows["payer"].isna().all()
    assert [problem.what for problem in source.problems] == ["several payers in one cell"]


def test_a_column_says_which_rows_hold_tax(write_project):
    """Gross amounts are divided by 1.2, net ones kept; a row of which the column says nothing known has its amount kept out, with one Problem."""
    rows = "A1,13/05/2021,1,120,flt,INC\nA2,13/05/2021,1,120,flt,exc\nA3,13/05/2021,1,120,flt,\nA4,13/05/2021,1,120,flt,margin\n"
    source, = read_sources(write_project({"shop.csv": HEAD + rows}, {"shop": PROFILE}))
    assert source.rows["total_cost"].fillna(-1).tolist() == [100.0, 120.0, -1, -1]
    assert source.rows["price_basis"].isna().tolist() == [False, False, True, True]
    problem, = source.problems
    assert "amounts of 2 rows" in problem.what
    assert "[money.tax_values]" in problem.remedy


def test_a_credit_for_a_core_is_a_negative_amount(write_project):
    """Core lines come as negatives in any dress, and stay negative."""
    rows = "".join(f'A{n},13/05/2021,1,"{text}",flt,exc\n' for n, text in enumerate(["-150.00", "(150.00)", "150.00 CR", "150.00-", "-£150.00"]))
    source, = read_sources(write_project({"shop.csv": HEAD + rows}, {"shop": PROFILE}))
    assert source.rows["total_cost"].tolist() == [-150.0] * 5


def test_hundredths_or_minutes_are_never_settled_by_another_row(write_project):
    """'1.30' has no value until the profile says so; beside '1.75', which can be no minutes, the remedy says what that one proves."""
    rows = HEAD + "A1,13/05/2021,1.30,,,\nA2,13/05/2021,1.75,,,\n"
    silent, = read_sources(write_project({"shop.csv": rows}, {"shop": PROFILE}))
    assert silent.rows["labour_hours"].fillna(-1).tolist() == [-1, 1.75]
    problem = silent.problems[0]
    assert (problem.file, problem.row, problem.column) == ("shop.csv", 2, "Hrs")
    assert 'can be no minutes, as 1.75: set hours_point = "decimal"' in problem.remedy
    said, = read_sources(write_project({"shop.csv": rows}, {"shop": PROFILE.replace("[format]", '[format]\nhours_point = "decimal"')}))
    assert said.rows["labour_hours"].tolist() == [1.3, 1.75]


@pytest.mark.parametrize("money", [{"tax_column": "VAT"}, {"tax_values": {"a": "net"}}, {"tax_column": "VAT", "tax_values": {"a": "gross"}},
    {"tax_column": "VAT", "tax_values": {"a": "net"}, "tax": "net"}])
def test_a_tax_column_that_does_not_add_up_is_refused(money: dict[str, object]):
    """Column and values go together, gross needs a rate, and the column stands instead of one word for the whole file."""
    with pytest.raises(InputRefused):
        validate({"files": ["a.csv"], "columns": {"No": "document"}, "money": money}, Profile, file="a.toml")
