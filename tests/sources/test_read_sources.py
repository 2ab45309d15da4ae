import pandas as pd
import pytest

from fleetstats.sources import read_sources
from fleetstats.sources.profile import profile_keys

PROFILE = """
files = ["shop.csv"]
reporting_days = 10
[format]
date_order = "mdy"
[money]
currency = "USD"
tax = "net"
[columns]
"Order" = "document"
"In" = "date_in"
"Out" = "date_out"
"Unit" = "vehicle_id"
"Complaint" = "complaint_text"
"Cause" = "cause_text"
"Work" = "correction_text"
"Hrs" = "labour_hours"
"Total" = "total_cost"
"Tech" = "technician"
"Off" = "removed_serial"
"Renter" = "contact"
[constants]
shop = "Harbour workshop"
[furniture]
first_cell = ["^total"]
[coverage]
from = 2020-01-01
to = 2025-12-31
"""
HEAD = "Order,In,Out,Unit,Complaint,Cause,Work,Hrs,Total,Tech,Off,Renter\n"
ROWS = (
    'A1,3/2/2021,3/5/2021,C-118,fridge no cool ac or lp,cu leaking,"repl cu, reman unit",1:30,"$1,234.50",Ann Other,s1203-1610,Jane Doe 555-0123\n'
    'A2,3/9/2021,1/1/1900,C-119,"fridge warm\ncall 555-0123","not cu, elem OL 64ohm","repl elem, run test 24h ok",90m,warranty,Ann Other,,\n'
    ",,,,,,,,,,,\n"
    'Total,,,,,,,,"$1,234.50",,,\n'
    "A3,3/9/2021,3/10/2021,C-120,fridge weak,poss cu,no action,1,n/c,Ann Other,,\n"
)


@pytest.fixture
def source(write_project):
    return read_sources(write_project({"shop.csv": HEAD + ROWS}, {"harbour": PROFILE}))[0]


def test_every_row_is_accounted_for_with_the_line_a_person_sees(source):
    """Five lines of data, one of them over two lines of text: three records, a blank and a total; the record after the line break begins on line 7."""
    assert source.rows_read == 5
    assert source.rows["row"].tolist() == [2, 3, 7]
    assert sorted(zip(source.fates["row"], source.fates["fate"], source.fates["reason"], strict=True)) == [(5, "furniture", "blank"), (6, "furniture",
        "title or total")]
    assert (source.source, source.table, source.covers_from.isoformat()) == ("harbour", "visits", "2020-01-01")


def test_cells_are_typed_as_the_profile_says(source):
    """US dates, hours 1:30 and 90m, dollars, a serial without its dash; a default date and 'warranty' leave empty cells, the first with a Problem."""
    rows = source.rows.set_index("document")
    assert rows.loc["A1", "date_in"] == pd.Timestamp("2021-03-02")
    assert rows.loc[["A1", "A2", "A3"], "labour_hours"].tolist() == [1.5, 1.5, 1.0]
    assert rows.loc["A1", "total_cost"] == 1234.5
    assert rows.loc["A1", "price_basis"] == "USD 2021-03 net"
    assert rows.loc["A1", "removed_serial"] == "S12031610"
    assert pd.isna(rows.loc["A2", "total_cost"])
    assert rows.loc["A2", "payer"] == "warranty"
    assert rows.loc["A3", "total_cost"] == 0
    assert pd.isna(rows.loc["A2", "date_out"])
    assert [(problem.row, problem.column, problem.found) for problem in source.problems] == [(3, "Out", "1/1/1900")]
    assert rows.loc["A1", "reported_on"] == pd.Timestamp("2021-03-15")
    assert rows["shop"].unique().tolist() == ["Harbour workshop"]


def test_texts_fill_fields_and_checks(source):
    """A stated swap removes the unit; 'not cu' and 'poss cu' do not; OL is an open element; the run test passed."""
    rows = source.rows.set_index("document")
    assert rows.loc["A1", ["symptom", "called_mode", "removal_reason", "fitted_kind", "fitted_origin"]].tolist() == [
        "SYM_NOCOOL", "FND_CU_LEAK", "fault of the unit", "unit", "reconditioned"]
    assert rows.loc["A2", ["called_item", "called_mode", "certainty", "action"]].tolist() == ["HE_AC", "FND_HE_OPEN", "stated", "ACT_HE_REPL"]
    assert rows.loc["A3", ["called_item", "certainty"]].tolist() == ["CU", "suspected"]
    assert rows.loc[["A2", "A3"], "removal_reason"].isna().all()
    checks = source.checks[source.checks["row"] == 3].set_index("check")
    assert checks.loc["C09", ["outcome", "value", "unit"]].tolist() == ["fail", 64.0, "ohm"]
    assert checks.loc["C17", ["outcome", "elapsed_hours"]].tolist() == ["pass", 24.0]


def test_no_person_is_kept(source):
    """Technicians are pseudonyms, the renter's column is dropped, the number in the complaint is masked."""
    kept = source.rows.to_csv() + source.fates.to_csv() + str(source.problems) + source.unknown.to_csv()
    assert not any(secret in kept for secret in ("Ann", "Jane", "555-0123"))
    assert source.rows["technician"].str.fullmatch(r"T-[0-9a-f]{8}").all()
    assert source.rows["technician"].nunique() == 1


def test_gross_amounts_become_net_and_unknown_tax_keeps_money_out(write_project):
    """1234.50 with 20 % tax is 1028.75 net; where tax is not stated there is no amount, no basis, and one Problem for the file."""
    gross = PROFILE.replace('tax = "net"', 'tax = "gross"\ntax_rate = 0.20')
    assert read_sources(write_project({"shop.csv": HEAD + ROWS}, {"harbour": gross}))[0].rows["total_cost"].iloc[0] == pytest.approx(1028.75)
    silent = PROFILE.replace('tax = "net"', "")
    source = read_sources(write_project({"shop.csv": HEAD + ROWS}, {"harbour": silent}))[0]
    assert source.rows[["total_cost", "price_basis"]].isna().all(axis=None)
    told = [problem.what for problem in source.problems if "tax" in problem.what]
    assert told == ["it is not stated whether amounts hold tax: the amounts of 2 rows were kept out"]


def test_rows_of_a_mixed_file_that_are_not_about_the_refrigerator_are_set_aside(write_project):
    """Tyres, brakes and the air conditioner of the cab go; a bare mention of the refrigerator in other work goes; the refrigerator stays."""
    works = ["front pads and discs", "a/c not cold, condenser leaking, replaced", "tyre replaced nearside, fridge trim refitted", "fridge fan seized, new fan",
             "refer not cooling on lp, cleaned burner", "oil and filter change", "cu ft of storage measured, cupboard door repaired"]
    profile = 'files = ["*.csv"]\nmixed = true\n[columns]\n"Job" = "document"\n"Work" = "correction_text"\n'
    text = "Job,Work\n" + "".join(f'{number},"{work}"\n' for number, work in enumerate(works))
    source = read_sources(write_project({"vans.csv": text}, {"vans": profile}))[0]
    assert source.rows["document"].tolist() == ["3", "4"]
    assert source.fates["fate"].unique().tolist() == ["set aside"]


def test_values_are_mapped_and_strange_ones_reported(write_project):
    """'FLT' is the fleet by the profile's map, whatever its case; 'OWNR' is no word anybody gave a meaning."""
    profile = 'files = ["*.csv"]\n[columns]\n"Job" = "document"\n"Pay" = "payer"\n[values.payer]\n"FLT" = "fleet"\n'
    source = read_sources(write_project({"jobs.csv": "Job,Pay\n1,flt\n2,OWNR\n3,Renter\n4,\n"}, {"jobs": profile}))[0]
    assert source.rows["payer"].fillna("-").tolist() == ["fleet", "-", "renter", "-"]
    assert [(problem.row, problem.found) for problem in source.problems] == [(3, "OWNR")]


def test_a_row_whose_cells_slipped_is_refused(write_project):
    """More cells than headings: an unquoted comma has moved them."""
    source = read_sources(write_project({"sightings.csv": "vehicle_id,date,working\nC1,2024-01-02,yes\nC2,2024,01-02,yes\n"}))[0]
    assert source.rows["vehicle_id"].tolist() == ["C1"]
    assert source.fates[["row", "fate"]].to_numpy().tolist() == [[3, "rejected"]]


def test_a_row_without_what_its_table_needs_is_refused(write_project):
    """A sighting without its day says nothing."""
    source = read_sources(write_project({"sightings.csv": "vehicle_id,date,working\nC1,2024-01-02,yes\nC2,,yes\n"}))[0]
    assert source.fates[["row", "fate", "reason"]].to_numpy().tolist() == [[3, "rejected", "no date"]]
    assert source.problems[0].place == "sightings.csv, row 3, column 'date'"


def test_taught_words_are_used(write_project):
    """A phrase of the project's words.toml wins over the shipped ones, and is no longer unknown."""
    profile = 'files = ["*.csv"]\n[columns]\n"Job" = "document"\n"What" = "cause_text"\n'
    raw = {"jobs.csv": "Job,What\n1,schnozzle wibbled\n"}
    assert read_sources(write_project(raw, {"jobs": profile}))[0].unknown["text"].tolist() == ["schnozzle wibbled"]
    taught = read_sources(write_project(raw, {"jobs": profile}, '[words.FND_CU_BLOCK]\nphrases = ["schnozzle wibbled"]\n'))[0]
    assert (taught.rows["called_mode"].tolist(), len(taught.unknown)) == (["FND_CU_BLOCK"], 0)


def test_totals_and_page_marks_are_no_vehicles(write_project):
    """Without a word in the profile a row whose first cell says nothing but 'total' or 'page' is furniture; 'total loss' is not."""
    firsts = ("V1", "Total", "Sous-total 2018", "grand total:", "Page 2 of 3", "Total loss", "V2")
    rows = "".join(f"{first},2021-03-02,12\n" for first in firsts)
    profile = 'files = ["shop.csv"]\n[columns]\n"Van" = "vehicle_id"\n"In" = "date_in"\n"Total" = "total_cost"\n'
    (source,) = read_sources(write_project({"shop.csv": "Van,In,Total\n" + rows}, {"shop": profile}))
    assert source.rows["vehicle_id"].tolist() == ["V1", "Total loss", "V2"]
    assert source.fates["fate"].tolist() == ["furniture"] * 4


def test_a_column_of_reasons_says_whether_and_the_text_says_what_was_fitted(write_project):
    """With a column of reasons but none of what was fitted: the text tells it where a unit came out, and tells nothing where none did."""
    raw = "Ref,Van,In,Why,Text\nA1,V1,2021-05-14,FAULT,fitted new cooling unit\nA2,V2,2021-05-15,,fitted new cooling unit\n"
    profile = ('files = ["a.csv"]\ntable = "visits"\n[columns]\nRef = "document"\nVan = "vehicle_id"\nIn = "date_in"\nWhy = "removal_reason"\n'
               'Text = "correction_text"\n[values.removal_reason]\nFAULT = "fault of the unit"\n')
    rows = read_sources(write_project({"a.csv": raw}, {"a": profile}))[0].rows.set_index("document")
    assert rows.loc["A1", ["removal_reason", "fitted_kind", "fitted_origin"]].tolist() == ["fault of the unit", "unit", "new"]
    assert rows.loc["A2", ["removal_reason", "fitted_kind"]].isna().all()


def test_every_key_of_a_profile_has_a_meaning():
    """The dictionary lists them all; a key without a word would be one that nobody finds."""
    keys = profile_keys()
    assert [key for _, key, meaning in keys if not meaning] == []
    assert {("format", "heading_rows"), ("format", "fill_down"), ("format", "time_zone"), ("", "columns"), ("coverage", "from")} <= {key[:2] for key in keys}


@pytest.mark.parametrize("number", ["+44 20 7946 0123", "(416) 555-0123", "tel 4165550123"])
def test_an_identifier_is_never_a_number_to_call(write_project, number: str):
    """Written with a plus, an area in brackets or a word before it, it is one (ranges kept for fiction); bare digits are a number of the shop's own."""
    profile = 'files = ["shop.csv"]\n[columns]\n"No" = "document"\n"Van" = "vehicle_id"\n'
    source, = read_sources(write_project({"shop.csv": f"No,Van\n{number},V1\n4501234567,V2\n"}, {"shop": profile}))
    assert source.rows["document"].fillna("").tolist() == ["", "4501234567"]
    told = next(problem for problem in source.problems if problem.column == "No")
    assert "an address or a number of a person" in told.what
    assert "0123" not in str(told)


def test_a_row_that_says_nothing_of_a_visit_is_refused(write_project):
    """A signature in the column of the vehicle, a technician beside it: refused with its row and counted; one with a date, or an amount of 0, is kept."""
    rows = ",,,signed: yard office,,,,,,Ann Other,,\n,3/2/2021,,C-118,,,,,,,,\n,,,C-119,,,,,0,,,\n"
    read, = read_sources(write_project({"shop.csv": HEAD + rows}, {"shop": PROFILE}))
    assert read.rows["vehicle_id"].tolist() == ["C-118", "C-119"]
    assert read.fates[["row", "fate", "reason"]].to_numpy().tolist() == [[2, "rejected", "the row says nothing of a visit"]]
    assert [problem.row for problem in read.problems if problem.what == "the row says nothing of a visit"] == [2]
