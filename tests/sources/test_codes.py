"""Columns of codes, and profiles that are not finished."""

from fleetstats.sources import read_sources
from fleetstats.sources.cell import Fault
from fleetstats.sources.codes import code_parser
from fleetstats.vocabulary import load_vocabulary


def test_words_in_a_column_of_codes_are_read_or_refused_and_never_kept(write_project):
    """'no cold' is SYM_NOCOOL; a code is kept; what means nothing leaves the cell empty and is told with a remedy that names no profile."""
    rows = "A1,V1,2021-03-02,no cold,repl elem,11/12/2020\nA2,V2,2021-03-03,sym_ammonia,ACT_CU_SWAP,\nA3,V3,2021-03-04,SYM_COLDLESS,zzz,\n"
    source = read_sources(write_project({"ours.csv": "document,vehicle_id,date_in,symptom,action,opened_on\n" + rows}))[0]
    assert source.rows["symptom"].fillna("").tolist() == ["SYM_NOCOOL", "SYM_AMMONIA", ""]
    assert source.rows["action"].fillna("").tolist() == ["ACT_HE_REPL", "ACT_CU_SWAP", ""]
    assert [(problem.column, problem.row) for problem in source.problems if problem.row == 4] == [("symptom", 4), ("action", 4)]
    assert len(source.problems) == 3
    assert not [problem for problem in source.problems if "profile" in str(problem)]


def test_a_profile_with_open_columns_says_so_once(write_project):
    """A heading with '' and one that a draft left as a comment are unassigned; the rows without a date are counted."""
    profile = 'files = ["shop.csv"]\n[columns]\n"Order" = "document"\n"Van" = ""\n# "When" = "..."   # e.g. 2021\n[constants]\nshop = "Harbour workshop"\n'
    source = read_sources(write_project({"shop.csv": "Order,Van,When\nA1,V1,2021-03-02\nA2,V2,2021-03-03\n"}, {"harbour": profile}))[0]
    told = [str(problem) for problem in source.problems if "unassigned" in problem.what]
    assert len(told) == 1
    assert "2 columns of harbour.toml are unassigned; 2 rows have no date" in told[0]
    assert "Van, When" in told[0]


def test_a_text_of_which_nothing_was_recognised_is_listed_whole_and_masked(write_project):
    """Scraps teach nobody; the name in it is masked, and a text understood in part gives its unknown words only."""
    rows = "A1,V1,2021-03-02,the gizmo wobbled so ring tom\nA2,V2,2021-03-03,elem open fizzwhack\n"
    source = read_sources(write_project({"ours.csv": "document,vehicle_id,date_in,complaint_text\n" + rows}))[0]
    assert source.unknown[["text", "count", "example", "file", "row"]].to_numpy().tolist() == [
        ["fizzwhack", 1, "elem open fizzwhack", "ours.csv", 3], ["the gizmo wobbled so ring [name]", 1, "the gizmo wobbled so ring [name]", "ours.csv", 2]]


def test_what_a_bench_found_is_said_of_a_cooling_unit():
    """A bench log writes 'blocked', 'gas lost' or 'weak charge' and means the unit (common practice, no source); a visit's column needs the item named."""
    vocabulary = load_vocabulary()
    bench = code_parser("mode", vocabulary)
    assert [bench(text) for text in ("blocked", "gas lost", "weak charge", "FND_CU_LEAK")] == ["FND_CU_BLOCK", "FND_CU_H2", "FND_CU_WEAK", "FND_CU_LEAK"]
    assert isinstance(code_parser("called_mode", vocabulary)("gas lost"), Fault)


def test_no_address_of_a_person_is_kept_as_an_identifier(write_project):
    """An e-mail address typed into the vehicle's or the unit's column is refused and masked where it is told; the row stays, other numbers are kept."""
    rows = "A1,V1,2021-03-02,jan@example.com\nA2,tel 555-555-0142,2021-03-03,S1409\n"
    source = read_sources(write_project({"ours.csv": "document,vehicle_id,date_in,removed_serial\n" + rows}))[0]
    assert source.rows["vehicle_id"].fillna("").tolist() == ["V1", ""]
    assert source.rows["removed_serial"].fillna("").tolist() == ["", "S1409"]
    told = " ".join(str(problem) for problem in source.problems)
    assert "an address or a number of a person" in told
    assert "example.com" not in told
    assert "0142" not in told
