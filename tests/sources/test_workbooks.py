import datetime as dt
import tomllib
from functools import partial

import pytest
import xlwt

from fleetstats.errors import InputRefused
from fleetstats.sources import draft_profile, read_sources
from fleetstats.sources.profile import Format
from fleetstats.sources.workbooks import read_workbook
from tests.sources.books import ods, ods_row, repacked, without_extent, xls, xlsx

HEADED = Format(kind="xlsx", header_row=2, heading_rows=2, fill_down=("Van",))
EMPTY, COVERED = "<table:table-cell/>", "<table:covered-table-cell/>"
WRONG = '<table:table-cell office:value-type="float" office:value="0" calcext:value-type="error"><text:p>#N/A</text:p></table:table-cell>'
TALL = '<table:table-cell office:value-type="string" table:number-rows-spanned="2"><text:p>V1</text:p></table:table-cell>'
WIDE = '<table:table-cell office:value-type="string" table:number-columns-spanned="2"><text:p>Cooling unit</text:p></table:table-cell>'


def _fill_xlsx(book) -> None:
    sheet = book.add_worksheet("2019")
    sheet.write(0, 0, "Harbour workshop")
    sheet.merge_range(1, 1, 1, 2, "Cooling unit")
    sheet.write_row(2, 0, ["Van", "old", "new", "Sum"])
    sheet.merge_range(3, 0, 4, 0, "V1")
    sheet.write_row(3, 1, ["K1", "K2"])
    sheet.write_row(4, 1, ["K3", "K4"])
    sheet.write_formula(3, 3, "=1+1", None, 2)
    sheet.write_formula(4, 3, "=NA()", None, "#N/A")
    sheet.write_row(5, 0, ["V2", "K5"])


def _fill_xls(book) -> None:
    sheet = book.add_sheet("2019")
    sheet.write(0, 0, "Harbour workshop")
    sheet.write_merge(1, 1, 1, 2, "Cooling unit")
    for column, name in enumerate(["Van", "old", "new", "Sum"]):
        sheet.write(2, column, name)
    sheet.write_merge(3, 4, 0, 0, "V1")
    for row, cells in ((3, ["K1", "K2"]), (4, ["K3", "K4"])):
        for column, text in enumerate(cells, start=1):
            sheet.write(row, column, text)
    sheet.write(3, 3, 2)
    sheet.row(4).set_cell_error(3, 42)
    sheet.write(5, 0, "V2")
    sheet.write(5, 1, "K5")


ODS_ROWS = "".join([
    ods_row("Harbour workshop"), ods_row(EMPTY, WIDE, COVERED), ods_row("Van", "old", "new", "Sum"),
    ods_row(TALL, "K1", "K2", '<table:table-cell office:value-type="float" office:value="2"/>'), ods_row(COVERED, "K3", "K4", WRONG), ods_row("V2", "K5")])
BOOKS = {"xlsx": xlsx(_fill_xlsx), "xls": xls(_fill_xls), "ods": ods(ODS_ROWS)}


@pytest.mark.parametrize("kind", BOOKS)
def test_headings_of_two_rows_merged_cells_and_errors_are_alike_in_every_kind(kind: str):
    """The merged heading stands over both of its columns, the merged vehicle in both of its rows, the error is an empty cell with a note."""
    sheet = read_workbook(BOOKS[kind], f"s.{kind}", HEADED.model_copy(update={"kind": kind}))[0]
    assert sheet.headings == ("Van", "Cooling unit old", "Cooling unit new", "Sum")
    assert sheet.cells.astype(object).where(sheet.cells.notna(), None).to_numpy().tolist() == [
        ["V1", "K1", "K2", 2], ["V1", "K3", "K4", None], ["V2", "K5", None, None]]
    assert (list(sheet.cells.index), sheet.titles) == ([4, 5, 6], (1,))
    assert [(note.row, note.column, "1 cell holds an error" in note.what) for note in sheet.notes] == [(5, "D", True)]


@pytest.mark.parametrize("kind", BOOKS)
def test_a_merged_cell_is_spread_only_where_the_profile_says_so(kind: str):
    """Without fill_down the second row has no vehicle, and a note says what would give it one; a heading that is not there is refused."""
    layout = HEADED.model_copy(update={"kind": kind, "fill_down": ()})
    sheet = read_workbook(BOOKS[kind], f"s.{kind}", layout)[0]
    assert sheet.cells["Van"].isna().tolist() == [False, True, False]
    assert any(note.column == "Van" and 'fill_down = ["Van"]' in note.remedy for note in sheet.notes)
    with pytest.raises(InputRefused, match="no column 'Coach' to fill down"):
        read_workbook(BOOKS[kind], f"s.{kind}", layout.model_copy(update={"fill_down": ("Coach",)}))


def test_a_sheet_without_a_stated_extent_is_read():
    """The extent is a hint of the writer; without it the same sheet comes out."""
    bare = repacked(BOOKS["xlsx"], without_extent)
    assert read_workbook(bare, "s.xlsx", HEADED)[0].cells.equals(read_workbook(BOOKS["xlsx"], "s.xlsx", HEADED)[0].cells)


def test_another_kind_than_the_profile_says_is_refused_with_the_kind():
    """A renamed workbook is told by its bytes."""
    with pytest.raises(InputRefused, match='Set kind = "ods"'):
        read_workbook(BOOKS["ods"], "s.xlsx", HEADED)


def _far_xls() -> bytes:
    """An XLS whose one number is moved to the last place its records can name."""
    def fill(book: xlwt.Workbook) -> None:
        book.add_sheet("2019").write(300, 30, 12345.678)
    data = xls(fill)
    place = data.index(bytes.fromhex("03020e002c011e00"))
    return data[:place + 4] + b"\xff\xff\xff\xff" + data[place + 8:]


@pytest.mark.parametrize(("kind", "data"), [
    ("xlsx", repacked(BOOKS["xlsx"], lambda name, content: without_extent(name, content).replace(b'r="B6"', b'r="XFD1048576"'))),
    ("xlsx", repacked(BOOKS["xlsx"], lambda name, content: content.replace(b'r="B6"', b'r="A4000000000"').replace(b'r="C4"', b"r = 'ZZ4'"))),
    ("xls", _far_xls()),
    ("ods", ods(ods_row("Van") + ods_row(EMPTY, number_rows_repeated="1000000000") + ods_row("V1"))),
    ("ods", ods(ods_row("Van", number_rows_repeated="2000000000"))),
    ("ods", ods(ods_row("Van", '<table:table-cell table:number-columns-repeated="1000000000" office:value-type="float" office:value="1"/>'))),
])
def test_a_stray_cell_in_a_far_corner_is_refused_before_the_sheet_is_held(kind: str, data: bytes):
    """What decides is where cells stand, not what the sheet says of itself."""
    with pytest.raises(InputRefused, match="a sheet reaches as far as cell"):
        read_workbook(data, f"s.{kind}", Format(kind=kind))


SEEN = """files = ["s.*"]
table = "sightings"
[format]
kind = "{kind}"
[columns]
Van = "vehicle_id"
Day = "date"
Ok = "working"
"""


def test_several_sheets_with_the_same_headings_are_one_source(write_project):
    """Each row keeps its sheet and row; a sheet whose headings differ is refused with its name unless the profile leaves it out."""
    def fill(book, last: str = "Ok") -> None:
        for name, vehicle in (("2019", "V1"), ("2020", "V2")):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, ["Van", "Day", "Ok" if name == "2019" else last])
            sheet.write_row(1, 0, [vehicle, "2021-03-01", "yes"])
    rows = read_sources(write_project({"s.xlsx": xlsx(fill)}, {"s": SEEN.format(kind="xlsx")}))[0].rows
    assert rows[["vehicle_id", "sheet", "row"]].to_numpy().tolist() == [["V1", "2019", 2], ["V2", "2020", 2]]
    other = {"s.xlsx": xlsx(lambda book: fill(book, "State"))}
    with pytest.raises(InputRefused, match="sheet '2020': there is no column 'Ok'"):
        read_sources(write_project(other, {"s": SEEN.format(kind="xlsx")}))
    chosen = SEEN.format(kind="xlsx").replace("[columns]", 'sheets = ["2019"]\n[columns]')
    assert len(read_sources(write_project(other, {"s": chosen}))[0].rows) == 1


def test_rows_that_are_no_records_are_furniture_by_the_rules_of_the_profile(write_project):
    """Rows without a day, and everything from the line of the signature on, are counted as furniture with the reason; no record is lost."""
    def fill(book) -> None:
        rows = [["Van", "Day", "Ok"], ["V1", "2021-03-01", "yes"], ["Depot two"], ["V2", "2021-03-02", "no"], ["Checked by hand"], ["V3", "2021-03-03", "yes"]]
        sheet = book.add_worksheet("2019")
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    profile = SEEN.format(kind="xlsx") + '[furniture]\nempty = ["Day"]\nafter = ["^checked by"]\n'
    read = read_sources(write_project({"s.xlsx": xlsx(fill)}, {"s": profile}))[0]
    assert read.rows["vehicle_id"].tolist() == ["V1", "V2"]
    assert sorted(zip(read.fates["row"], read.fates["reason"], strict=True)) == [
        (3, "without what every record has"), (5, "below the end of the records"), (6, "below the end of the records")]
    with pytest.raises(InputRefused, match="no column 'Date'"):
        read_sources(write_project({}, {"s": profile.replace('["Day"]', '["Date"]')}))


def _own_xls(book) -> None:
    sheet, style = book.add_sheet("sightings"), xlwt.XFStyle()
    style.num_format_str = "yyyy-mm-dd"
    for column, name in enumerate(["vehicle_id", "date", "working"]):
        sheet.write(0, column, name)
    sheet.write(1, 0, "V1")
    sheet.write(1, 1, dt.datetime(2021, 3, 1), style)
    sheet.write(1, 2, "yes")


@pytest.mark.parametrize(("file", "data"), [
    ("own.xls", xls(_own_xls)), ("own.ods", ods(ods_row("vehicle_id", "date", "working") + ods_row("V1", "2021-03-01", "yes"), "sightings")),
    ("own.json", b'[{"vehicle_id": "V1", "date": "2021-03-01", "working": true}]'),
    ("own.jsonl", b'{"vehicle_id": "V1", "date": "2021-03-01", "working": "yes"}\n'), ("own.csv", b"vehicle_id;date;working\nV1;2021-03-01;yes\n"),
])
def test_our_own_headings_need_no_profile_in_any_kind(write_project, file: str, data: bytes):
    """The same sighting, whatever it is written in."""
    read = read_sources(write_project({file: data}))[0]
    assert (read.table, read.rows["vehicle_id"].tolist(), read.rows["date"].astype(str).tolist(), read.rows["working"].tolist()) == (
        "sightings", ["V1"], ["2021-03-01"], [True])


def _days(book) -> None:
    sheet = book.add_worksheet("2020")
    sheet.write_row(0, 0, ["No", "In"])
    sheet.write_row(1, 0, ["A1", 42369])
    sheet.write_row(2, 0, ["A2", "42369"])


def _xls_of_1904() -> bytes:
    def fill(book) -> None:
        book.dates_1904 = True
        sheet = book.add_sheet("2020")
        for row, cells in enumerate([("No", "In"), ("A1", 42369), ("A2", "42369")]):
            for column, cell in enumerate(cells):
                sheet.write(row, column, cell)
    return xls(fill)


def _xlsx_of_1904() -> bytes:
    return repacked(xlsx(_days), lambda name, data: data.replace(b"<workbookPr ", b'<workbookPr date1904="1" ') if name == "xl/workbook.xml" else data)


def _ods_of(null_date: str) -> bytes:
    settings = f'<table:calculation-settings><table:null-date table:date-value="{null_date}"/></table:calculation-settings>'
    book = ods(ods_row("No", "In") + ods_row("A1", '<table:table-cell office:value-type="float" office:value="42369"/>') + ods_row("A2", "42369"), "2020")
    return repacked(book, lambda name, data: data.replace(b"<office:spreadsheet>", b"<office:spreadsheet>" + settings.encode()))


OF_1904 = {"xlsx": _xlsx_of_1904, "xls": _xls_of_1904, "ods": lambda: _ods_of("1904-01-01")}


@pytest.mark.parametrize("kind", OF_1904)
def test_a_workbook_says_what_its_numbers_of_days_are_counted_from(kind: str, write_project):
    """42369 is 1 January 2020 in a workbook of the 1904 system (ECMA-376 / ISO/IEC 29500-1, section 18.17.4), which is told; the text beside it stays empty
    until the profile states a system, and what the profile states outweighs the workbook and is told."""
    profile = f'files = ["s.{kind}"]\n[format]\nkind = "{kind}"\n%s\n[columns]\n"No" = "document"\n"In" = "date_in"\n'
    source, = read_sources(write_project({f"s.{kind}": OF_1904[kind]()}, {"shop": profile % ""}))
    assert source.rows["date_in"].dt.date.fillna(0).tolist() == [dt.date(2020, 1, 1), 0]
    told = {(problem.row, problem.column): problem for problem in source.problems}
    assert "counted from 1904, as the workbook says" in told[2, "In"].what
    assert "date_system" in told[3, "In"].remedy
    stated, = read_sources(write_project({}, {"shop": profile % 'date_system = "1900"'}))
    assert stated.rows["date_in"].dt.date.tolist() == [dt.date(2015, 12, 31)] * 2
    assert any("the workbook, which counts from 1904, does not" in problem.what for problem in stated.problems)


def test_a_number_that_is_a_date_by_itself_is_no_count_of_days(write_project):
    """20210304 is 4 March 2021 whatever the workbook counts from, and is not told as a day counted from 1900; 44259 is."""
    def fill(book) -> None:
        sheet = book.add_worksheet("x")
        for row, cells in enumerate([("No", "In"), ("A1", 20210304), ("A2", 44259)]):
            sheet.write_row(row, 0, cells)
    profile = 'files = ["s.xlsx"]\n[format]\nkind = "xlsx"\n[columns]\n"No" = "document"\n"In" = "date_in"\n'
    source, = read_sources(write_project({"s.xlsx": xlsx(fill)}, {"shop": profile}))
    assert source.rows["date_in"].dt.date.tolist() == [dt.date(2021, 3, 4)] * 2
    assert [(problem.row, problem.what[:6]) for problem in source.problems if problem.column == "In"] == [(3, "1 cell")]


def test_an_ods_that_counts_from_elsewhere_settles_nothing():
    """A null date that is neither of the two systems' leaves bare numbers of days without a system."""
    layout = Format(kind="ods")
    assert [read_workbook(_ods_of(day), "s.ods", layout)[0].date_system for day in ("1899-12-30", "1904-01-01", "1900-01-01")] == ["1900", "1904", None]


def test_fill_down_fills_merged_cells_alone(write_project):
    """An empty cell below a vehicle may be one that nobody noted: it stays empty, which is told with its row; a row that is blank, or of totals, is none."""
    def fill(book, rows=()) -> None:
        sheet = book.add_worksheet("x")
        for row, cells in enumerate([("No", "Van\nNo"), ("A1", "V1"), (None, None), ("Total 2019", None), *rows, ("A3", "V2")]):
            sheet.write_row(row, 0, cells)
    profile = 'files = ["s.xlsx"]\n[format]\nkind = "xlsx"\nfill_down = ["Van\\nNo"]\n[columns]\n"No" = "document"\n"Van\\nNo" = "vehicle_id"\n'
    for rows, vehicles, told in (((), ["V1", "V2"], []), ([("A2", None)], ["V1", "", "V2"], [(5, "Van No")])):
        source, = read_sources(write_project({"s.xlsx": xlsx(partial(fill, rows=rows))}, {"shop": profile}))
        assert source.rows["vehicle_id"].fillna("").tolist() == vehicles
        assert [(problem.row, problem.column) for problem in source.problems if "fill_down fills none" in problem.what] == told


def test_fill_down_of_other_kinds_is_refused(write_project):
    """Text files have no merged cells: the key is refused, rather than without effect."""
    profile = 'files = ["s.csv"]\n[format]\nfill_down = ["Van"]\n[columns]\n"No" = "document"\n"Van" = "vehicle_id"\n'
    with pytest.raises(InputRefused, match="fill_down is for kind = xlsx or xls or ods"):
        read_sources(write_project({"s.csv": "No,Van\nA1,V1\n"}, {"shop": profile}))


@pytest.mark.parametrize("kind", BOOKS)
def test_a_draft_finds_the_headings_of_every_kind_of_workbook(kind: str, tmp_path):
    """Below a title, with a heading merged over two columns above the row that holds the most of them."""
    (tmp_path / f"s.{kind}").write_bytes(BOOKS[kind])
    layout = tomllib.loads(draft_profile(tmp_path / f"s.{kind}"))["format"]
    assert (layout["kind"], layout["header_row"], layout["heading_rows"]) == (kind, 2, 2)
