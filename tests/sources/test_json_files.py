import json

import pytest

from fleetstats.errors import InputRefused
from fleetstats.sources import read_sources
from fleetstats.sources.json_files import read_json
from fleetstats.sources.profile import Format


def _read(text: str, file: str = "x.json", records: str = ""):
    return read_json(text.encode(), file, Format(kind="json", records=records))[0]


def test_lines_keep_their_numbers_and_nested_fields_have_dotted_headings():
    """One record to a line: the row is the line, an empty line is blank, a field that a record lacks is empty, whole numbers stay whole."""
    sheet = _read('{"no": 12345678901234567890, "van": {"id": "V1"}}\n\n{"no": 2, "hours": 1.25, "tags": ["a", "b"]}\n')
    assert sheet.headings == ("no", "van.id", "hours", "tags")
    assert sheet.cells.loc[1, "no"] == 12345678901234567890
    assert sheet.cells.loc[3].tolist()[2:] == [1.25, "a, b"]
    assert (list(sheet.cells.index), sheet.blank, sheet.rows_read) == ([1, 3], (2,), 3)


def _values(sheet, heading: str) -> list[object]:
    return sheet.cells[heading].astype(object).where(sheet.cells[heading].notna(), None).tolist()


DOCUMENT = json.dumps({"sent": "2021-01-02", "orders": [
    {"no": "A1", "items": [{"part": "element", "cost": 12.5}, {"part": "fuse", "cost": 1}]}, {"no": "A2", "items": []}]}, indent=1)


def test_a_list_within_records_gives_a_row_each_with_the_records_own_fields():
    """Two lines of one invoice are two rows with its number; an invoice without lines keeps its own row; rows are counted from 1."""
    sheet = _read(DOCUMENT, records="orders.items")
    assert sheet.cells[["no", "items.part", "items.cost"]].astype(object).where(sheet.cells.notna(), None).to_numpy().tolist() == [
        ["A1", "element", 12.5], ["A1", "fuse", 1], ["A2", None, None]]
    assert list(sheet.cells.index) == [1, 2, 3]


def test_a_list_that_is_not_named_is_told_and_a_wrong_place_names_the_right_one():
    """What is left out is a note with the heading to add; where no list is, the lists that are there are named."""
    sheet = _read(DOCUMENT, records="orders")
    assert [note.column for note in sheet.notes] == ["items"]
    for records in ("", "order"):
        with pytest.raises(InputRefused, match='one of "orders"'):
            _read(DOCUMENT, records=records)


def test_lines_of_invoices_are_spread_out_too():
    """In JSON lines the line is the record, so that only the list within is named."""
    sheet = _read('{"no": 1, "items": [{"p": 1}, {"p": 2}]}\n{"no": 2}\n', records="items")
    assert sheet.cells["no"].tolist() == [1, 1, 2]


@pytest.mark.parametrize(("text", "told"), [
    ('[{"a": 1}, {"a": 2}', "row 1"), ("[" * 100_000, "nested too deeply"), ('{"a":' * 100_000, "nested too deeply"),
    ('[{"a": %s}]' % ("9" * 5000), "too many digits"), ("[]", "no records"), ("5", "no list of records"),
    ("[7]", "row 1: a record is no object"), ('[{"a": "\0"}]', "NUL"),
])
def test_what_is_no_json_is_refused_with_its_line(text: str, told: str):
    """Broken, cut off, nested without end or empty: one refusal that says where."""
    with pytest.raises(InputRefused, match=told):
        _read(text)


BROKEN = '{"a": 1}\n{"a": \n{"a": 3, "items": [{"p": 1}, {"p": 2}]}\n{"a": 4'


def test_a_line_that_is_no_json_is_refused_alone():
    """The other lines are kept; each broken one, a last one that was cut off too, is a row that is refused, with its line."""
    sheet = _read(BROKEN)
    assert _values(sheet, "a") == [1, None, 3, None]
    assert [(problem.row, problem.what[:20]) for problem in sheet.doubtful] == [(2, "not readable as JSON"), (4, "not readable as JSON")]
    assert "mend line 4" in sheet.doubtful[1].remedy
    spread = _read(BROKEN, records="items")
    assert [(problem.row, "mend line 4" in problem.remedy) for problem in spread.doubtful] == [(2, False), (5, True)]


def test_a_line_that_is_no_object_is_refused_and_never_blank(write_project):
    """An array or a number on a line of its own is a row that is refused with its line, whatever the profile says of empty cells."""
    lines = b'{"no": "A1", "van": "V1"}\n[{"no": "A2"}]\n[1]\n\n{"no": \n{"no": "A3", "van": "V1"}\n'
    profile = 'files = ["s.jsonl"]\n[format]\nkind = "json"\n[columns]\n"no" = "document"\n"van" = "vehicle_id"\n[furniture]\nempty = ["van"]\n'
    source, = read_sources(write_project({"s.jsonl": lines}, {"s": profile}))
    assert source.fates[["row", "fate"]].to_numpy().tolist() == [[4, "furniture"], [2, "rejected"], [3, "rejected"], [5, "rejected"]]
    assert [problem.row for problem in source.problems][:3] == [2, 3, 5]
    assert source.rows["document"].tolist() == ["A1", "A3"]


def test_a_line_of_a_hundred_thousand_levels_is_refused_alone():
    """Nesting without end costs the line, not the file."""
    sheet = _read('{"a": 1}\n{"a": ' + "[" * 100_000 + "]" * 100_000 + "}\n")
    assert [(problem.row, problem.what) for problem in sheet.doubtful] == [(2, "not readable as JSON: it is nested too deeply")]


def test_a_first_line_that_is_broken_is_told_by_the_name_of_the_file():
    """A file that is called lines is read as such, also packed; without one good line it is refused whole."""
    assert _values(_read('{"a": \n{"a": 3}\n', "x.jsonl.gz"), "a") == [None, 3]
    with pytest.raises(InputRefused, match=r"x\.jsonl, row 3: not readable"):
        _read('{"a": \n{"a": \n', "x.jsonl")


@pytest.mark.parametrize("first", ["# export", "[1]", "7", "Orders of March"])
def test_a_first_line_that_is_no_object_is_refused_alone(first: str):
    """In a file that is called lines a title above the records is a line that is no object, and the others are kept; without that name it is refused whole."""
    sheet = _read(f'{first}\n{{"a": 1}}\n{{"a": 2}}\n', "x.jsonl")
    assert sheet.headings == ("a",)
    assert (_values(sheet, "a"), [problem.row for problem in sheet.doubtful]) == ([None, 1, 2], [1])
    with pytest.raises(InputRefused):
        _read(f'{first}\n{{"a": 1}}\n{{"a": 2}}\n')


def test_an_array_over_several_lines_is_a_document_whatever_its_name():
    """An array with a record on each line is no file of lines."""
    assert _values(_read('[\n{"a": 1},\n{"a": 2}\n]\n', "x.jsonl"), "a") == [1, 2]


@pytest.mark.parametrize("text", ['[{"a": 1, "a": 2}]', '[{"a.b": 1, "a": {"b": 2}}]', '[7, {"a": 1}]', '[{"v": {"a": 1, "a": 2}}]'])
def test_a_record_that_can_be_read_in_two_ways_is_doubtful(text: str):
    """A key that stands twice, two fields under one heading, or no object at all: the row is refused, none of the values is chosen."""
    assert [problem.row for problem in _read(text).doubtful] == [1]


def test_half_a_sign_is_kept_as_unreadable_and_told():
    """A text that was cut within an emoji: the row is kept, the half is U+FFFD, and a note says where; a whole pair is the sign that it is."""
    sheet = _read(r'{"t": "no cool \ud83d", "\udd25": 1}' "\n" r'{"t": "hot \ud83d\udd25"}' "\n" r'{"t": "no cool \ud83d", "tags": ["\udd25", "\udd25x"]}' "\n")
    assert sheet.headings == ("t", "\ufffd", "tags")
    assert sheet.cells["t"].tolist() == ["no cool \ufffd", "hot \U0001f525", "no cool \ufffd"]
    assert [(note.column, note.row, note.what) for note in sheet.notes] == [
        ("t", 1, "1 different text holds half of a sign, kept as \ufffd"), ("tags", 3, "1 different text holds half of a sign, kept as \ufffd")]
    assert [problem.what for problem in _read(r'[{"\ud83d": 1, "\ud83d": 2}]').doubtful] == ["the field '\ufffd' stands twice in a record"]


def test_names_of_fields_are_told_masked_and_on_one_line():
    """A key may hold anything: an address is masked, a break of the line is a blank."""
    sheet = _read('[{"x\\njo@example.org": 1, "x\\njo@example.org": 2, "a\\u2028b": [{}]}]')
    assert [problem.what for problem in sheet.doubtful] == ["the field 'x [e-mail]' stands twice in a record"]
    assert [note.column for note in sheet.notes] == ["a b"]


def test_a_number_beyond_all_numbers_stays_a_text():
    """1e400 and NaN are no numbers that can be counted with; as texts they are refused by the column that wants a number."""
    assert _read('[{"a": 1e400, "b": NaN}]').cells.iloc[0].tolist() == ["1e400", "NaN"]
