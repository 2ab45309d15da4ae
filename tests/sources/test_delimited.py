import re

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.errors import InputRefused
from fleetstats.sources import read_sources
from fleetstats.sources.delimited import read_delimited, sheet_of_records
from fleetstats.sources.delimited_arrow import sheet_of_lines
from fleetstats.sources.profile import Format

PIECES = st.lists(st.sampled_from(["a", "b7", " ", "", '"', '""', ",", "\n", "\r\n", "\r", "é", "\u00a0", "\u2028", "\x0b", "#", ";", "-"]), max_size=40)
CELLS = st.sampled_from(["", "a", " b", "x y", '5" wc', '"a,b"', '"say ""no"""', "é", '"', '"a"b', "\u00a0", "7"])
TABLES = st.lists(st.lists(CELLS, min_size=3, max_size=3), max_size=6).map(lambda rows: "\n".join(",".join(row) for row in rows))


def _same(one, other):
    assert one.headings == other.headings
    assert (one.blank, one.titles, one.doubtful, one.notes) == (other.blank, other.titles, other.doubtful, other.notes)
    pd.testing.assert_frame_equal(one.cells, other.cells)


@settings(max_examples=600, deadline=None)
@given(text=st.one_of(PIECES.map("".join), TABLES), header_row=st.integers(1, 2), end=st.sampled_from(["", "\n"]))
def test_both_ways_through_a_file_give_the_same_sheet(text, header_row, end):
    """Where the fast way answers at all, the csv module gives the same headings, cells, row numbers, blank and doubtful rows."""
    whole = "h1,h2,h3\n" * (header_row - 1) + "h1,h2,h3\n" + text + end
    layout = Format(header_row=header_row)
    fast = sheet_of_lines(whole.encode(), "shop.csv", layout, [])
    if fast is not None:
        _same(fast, sheet_of_records(whole, "shop.csv", layout, []))


@pytest.mark.parametrize("text", ["A,B\n1,2\n\n3,\n,\n", "A,B\r\n1,2\r\n\r\n3,4\r\n", 'title,\nA,B\n"x, y",é\n', "A,B\n1,2", "A,B,\n1,2,\n3,4,5\n"])
def test_plain_files_go_the_fast_way(text):
    """One record a line, as wide as the headings: blank lines, titles, quoted separators and a last line without its end are no hindrance."""
    layout = Format(header_row=2 if text.startswith("title") else 1)
    fast = sheet_of_lines(text.encode(), "shop.csv", layout, [])
    assert fast is not None
    _same(fast, sheet_of_records(text, "shop.csv", layout, []))


def test_a_row_with_nothing_but_a_cell_too_many_is_doubtful():
    """What stands beyond the last heading alone is no blank row: it is refused, whichever way the file goes."""
    text = "A,B,\n1,2,\n,,5\n,,\n"
    for sheet in (sheet_of_lines(text.encode(), "shop.csv", Format(), []), sheet_of_records(text, "shop.csv", Format(), [])):
        assert (sheet.cells.index.tolist(), sheet.blank, [problem.row for problem in sheet.doubtful]) == ([2, 3], (4,), [3])


def test_rows_keep_the_line_on_which_they_begin():
    """A line break within quotation marks moves the rows below it down."""
    (sheet,) = read_delimited(b'A,B\n1,"x\ny\nz"\n\n2,w\n', "shop.csv", Format())
    assert (sheet.cells.index.tolist(), sheet.blank) == ([2, 6], (5,))
    assert sheet.cells["B"].tolist() == ["x\ny\nz", "w"]


SWALLOWED = {
    "closed by the opening mark of a later record": 'A1,"3/2,fridge warm,5\nA2,3/3,fridge ok,6\nA3,"3/4",x,7\nA4,3/5,y,8\n',
    "closed by a stray mark": 'A1,3/2,"fridge warm,5\nA2,3/3,ok 5",6\nA4,3/5,y,8\n',
    "within one line": 'A1,"3/2,fridge,"warm",5\nA4,3/5,y,8\n',
}


@pytest.mark.parametrize("body", SWALLOWED.values(), ids=SWALLOWED)
def test_a_mark_closed_by_a_later_one_is_noticed(write_project, body):
    """Records that became one cell are refused with the row they begin on, never read as a text; the rows after them are kept."""
    profile = 'files = ["shop.csv"]\n[columns]\n"Order" = "document"\n"Work" = "correction_text"\n'
    (source,) = read_sources(write_project({"shop.csv": "Order,In,Work,Sum\n" + body}, {"shop": profile}))
    assert source.fates[["row", "fate"]].to_numpy().tolist() == [[2, "rejected"]]
    assert source.problems[0].row == 2
    assert "closed only by a later one" in source.problems[0].what
    assert source.rows["document"].tolist() == ["A4"]


def test_a_text_over_several_lines_is_no_fault():
    """Commas and line breaks within marks that are in pairs are a text."""
    (sheet,) = read_delimited(b'Order,In,Work,Sum\nA1,3/2,"warm, very\ncalled, no answer\nsaid ""ok""",5\n', "shop.csv", Format())
    assert sheet.doubtful == ()
    assert sheet.cells["Work"].tolist() == ['warm, very\ncalled, no answer\nsaid "ok"']


@pytest.mark.parametrize("cell", ["x" * 300_000, '"' + "x\n" * 300_000 + '"'])
def test_a_cell_without_end_is_refused(cell):
    """A cell beyond the csv module's limit is refused with its row, whether or not it holds line breaks."""
    with pytest.raises(InputRefused, match=r"shop\.csv, row 3: not readable as CSV: field larger"):
        read_delimited(f"A,B\n1,2\n3,{cell}\n".encode(), "shop.csv", Format())


def test_a_line_without_end_is_refused_before_it_is_copied():
    """Twenty million signs in one line are refused by their length."""
    with pytest.raises(InputRefused, match=re.escape("shop.csv, row 2: a line is longer than 16,777,216 bytes")):
        read_delimited(b"A,B\n" + b"x" * 20_000_000, "shop.csv", Format())


def test_equal_texts_are_held_once():
    """Cells are categorical: blanks at the ends make no new value, and an empty cell is missing."""
    (sheet,) = read_delimited("A,B\n x,1\nx ,\n\u00a0x,1\n".encode(), "shop.csv", Format())
    assert sheet.cells["A"].cat.categories.tolist() == ["x"]
    assert sheet.cells["B"].isna().tolist() == [False, True, False]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_plain_letters_are_read_alike_in_every_encoding(encoding):
    """A file without any letter beyond ASCII gives the same sheet whether it begins with a mark, has two bytes a sign, or neither."""
    text = "A,B\n1,x\n2,y\n"
    (found,), (plain,) = (read_delimited(text.encode(name), "shop.csv", Format(encoding=name)) for name in (encoding, "utf-8"))
    _same(found, plain)
