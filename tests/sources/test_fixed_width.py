import pytest
from pydantic import ValidationError

from fleetstats.errors import InputRefused
from fleetstats.sources import read_sources
from fleetstats.sources.fixed_width import read_fixed_width
from fleetstats.sources.profile import Format

PLACES = {"Order": (1, 6), "In": (8, 17), "Work": (19, 48)}
BODY = ("Order  In         Work\n"
        "A1     2021-03-02 fridge warm, called\n"
        "                  again, no answer\n"
        "\n"
        "A2     2021-03-09 elem open\n")


def _format(**more):
    return Format(kind="fixed", positions=PLACES, **more)


def test_cells_are_cut_at_their_places():
    """Headings are held against the profile; a blank line is furniture; every row keeps its line."""
    (sheet,) = read_fixed_width(BODY.replace("                  again, no answer\n", "").encode(), "shop.txt", _format())
    assert sheet.cells.index.tolist() == [2, 4]
    assert sheet.blank == (3,)
    assert sheet.cells["Work"].tolist() == ["fridge warm, called", "elem open"]


def test_a_text_that_goes_on_below_is_joined_where_the_profile_says_so():
    """A line that fills nothing but the text belongs to the row above it; unless stated it is a row of its own, never guessed."""
    (sheet,) = read_fixed_width(BODY.encode(), "shop.txt", _format(continued=("Work",)))
    assert sheet.cells["Work"].tolist() == ["fridge warm, called again, no answer", "elem open"]
    assert sheet.cells.index.tolist() == [2, 5]
    assert read_fixed_width(BODY.encode(), "shop.txt", _format())[0].cells.index.tolist() == [2, 3, 5]


def test_a_file_without_headings_begins_with_its_first_row():
    """header_row = 0: the names of the profile are the headings."""
    (sheet,) = read_fixed_width(BODY.split("\n", 1)[1].encode(), "shop.txt", _format(header_row=0))
    assert sheet.headings == ("Order", "In", "Work")
    assert sheet.cells["Order"].dropna().tolist() == ["A1", "A2"]
    assert sheet.cells.index[0] == 1


def test_titles_above_the_headings_are_counted():
    """Lines above header_row are furniture."""
    (sheet,) = read_fixed_width(("Report of March\n\n" + BODY).encode(), "shop.txt", _format(header_row=3))
    assert (sheet.titles, sheet.cells.index[0]) == ((1, 2), 4)


def test_text_outside_all_places_refuses_its_row(write_project):
    """What would be lost between or behind the places makes the row doubtful, and the Problem names it."""
    profile = ('files = ["shop.txt"]\n[format]\nkind = "fixed"\n[format.positions]\n"Order" = [1, 6]\n"In" = [8, 17]\n"Work" = [19, 30]\n'
               '[columns]\n"Order" = "document"\n"In" = "date_in"\n"Work" = "correction_text"\n')
    rows = "Order  In         Work\nA1     2021-03-02 elem open\nA2     2021-03-09 elem open, replaced\nA3 x  y2021-03-09 ok\n"
    (source,) = read_sources(write_project({"shop.txt": rows}, {"shop": profile}))
    assert source.rows["document"].tolist() == ["A1"]
    assert source.fates[["row", "fate", "reason"]].to_numpy().tolist() == [[row, "rejected", "text stands outside the places of all cells"] for row in (3, 4)]


@pytest.mark.parametrize(("text", "told"), [
    (BODY.replace("In   ", "Out  ", 1), r"shop\.txt, row 1, column 'In': at places 8 to 17 stands another heading; found 'Out'"),
    (BODY.replace("A2     ", "A2\t"), r"shop\.txt, row 5: a tab stands in the line"),
])
def test_places_that_do_not_fit_are_refused(text, told):
    """A heading at another place, or a tab, would put every cell in doubt."""
    with pytest.raises(InputRefused, match=told):
        read_fixed_width(text.encode(), "shop.txt", _format())


@pytest.mark.parametrize("layout", [
    {"kind": "fixed"}, {"positions": PLACES}, {"header_row": 0}, {"kind": "fixed", "positions": {"A": (1, 5), "B": (5, 9)}},
    {"kind": "fixed", "positions": {"A": (0, 5)}}, {"kind": "fixed", "positions": {"A": (3, 2)}}, {"kind": "fixed", "positions": PLACES, "continued": ("X",)},
])
def test_places_that_do_not_add_up_are_refused(layout):
    """Places and kind go together; places do not overlap and begin at 1; continued names known headings."""
    with pytest.raises(ValidationError):
        Format(**layout)


def test_text_outside_all_places_alone_is_no_blank_line():
    """A line with nothing in its cells and something beyond them is refused, not counted as blank."""
    layout = Format(kind="fixed", positions={"A": (1, 2), "B": (4, 5)})
    sheet, = read_fixed_width(b"A  B\n1  2\n        x\n\n", "s.txt", layout)
    assert (sheet.cells.index.tolist(), sheet.blank, [problem.row for problem in sheet.doubtful]) == ([2, 3], (4,), [3])
