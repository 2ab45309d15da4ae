import io

import pytest
import xlsxwriter

from fleetstats.errors import InputRefused
from fleetstats.sources import draft_profile, read_sources

PROFILE = 'files = ["shop.csv"]\n[columns]\n"Order" = "document"\n"In" = "date_in"\n'


def _workbook(far: bool = False) -> bytes:
    memory = io.BytesIO()
    with xlsxwriter.Workbook(memory, {"in_memory": True}) as book:
        sheet = book.add_worksheet("2019")
        sheet.write_row(0, 0, ["Order", "In"])
        sheet.write_row(1, 0, ["A1", "2019-01-02"])
        if far:
            sheet.write(1_048_575, 16_383, "x")
    return memory.getvalue()


BOOK = PROFILE.replace("shop.csv", "shop.xlsx") + '[format]\nkind = "xlsx"\n'


@pytest.mark.parametrize(("raw", "profile", "told"), [
    ({}, PROFILE, ["raw/", "no files"]),
    ({"shop.csv": ""}, PROFILE, ["shop.csv", "empty"]),
    ({"shop.csv": "Order,In\n\u00e9,1\n".encode("cp1252")}, PROFILE, ["shop.csv, row 2", "utf-8", "cp1252"]),
    ({"shop.csv": "Order,In\né,1\n"}, PROFILE + '[format]\nencoding = "cp1252"\n', ["shop.csv", "the file is UTF-8"]),
    ({"shop.csv": "Order,Inn\nA1,2020-01-02\n"}, PROFILE, ["shop.csv", "no column 'In'", 'nearest heading is "Inn"']),
    ({"shop.csv": "Order,In\nA1,2020-01-02\n"}, PROFILE + "mixd = true\n", ["harbour.toml", "mixd"]),
    ({"shop.csv": "Order,In\nA1,2020-01-02\n"}, "mixd = true\n" + PROFILE, ["harbour.toml", "mixd", 'nearest known key is "mixed"']),
    ({"shop.csv": "Order,In\nA1,2020-01-02\n"}, PROFILE.replace('"date_in"', '"datein"'), ["harbour.toml", "datein", 'nearest known one is "date_in"']),
    ({"shop.csv": "Order,In\nA1,2020-01-02\n"}, PROFILE + "[money]\ntax = 'gross'\n", ["harbour.toml", "tax_rate"]),
    ({"shop.csv": 'Order,In\n"A1,2020-01-02\n' + "x" * 200_000}, PROFILE, ["shop.csv", "row 2", "quotation mark"]),
    ({"shop.csv": 'Order,In\nA0,2020-01-02\n"A1,2020-01-02\nA2,2020-01-03\n'}, PROFILE, ["shop.csv, row 3", "inside quotation marks"]),
    ({"shop.csv": 'Order,In\n"A1,2020-01-02\n'}, PROFILE, ["shop.csv, row 2", "inside quotation marks"]),
    ({"shop.csv": "Order,In\nA1,2020\0-01-02\n"}, PROFILE, ["shop.csv, row 2", "NUL", "Ask the sender"]),
    ({"shop.csv": "y" * 5000}, PROFILE.replace("shop.csv", "other.csv"), ["shop.csv, column 'yyy", "…"]),
    ({"shop_2.csv": "Order,In\nA1,2020-01-02\n"}, PROFILE,
     ["shop_2.csv: no profile names this file", 'fit harbour.toml, whose files = ["shop.csv"]', 'add "shop_2.csv" to files']),
    ({"shop_2.csv": "Order,Inn\nA1,2020-01-02\n"}, PROFILE, ["shop_2.csv", "no profile fits this file"]),
    ({"shop.xlsx": _workbook(far=True)}, BOOK, ["shop.xlsx", "XFD1048576", "stray cells"]),
    ({"shop.csv": _workbook()}, PROFILE, ["shop.csv", 'kind = "xlsx"']),
    ({"shop.xlsx": _workbook()[:700]}, BOOK, ["shop.xlsx", "not a complete workbook"]),
    ({"shop.xlsx": b"PK\x03\x04" + b"\0" * 50}, BOOK, ["shop.xlsx", "not a complete workbook"]),
    ({"shop.xlsx": _workbook()}, BOOK + 'sheets = ["2020"]\n', ["shop.xlsx", "no sheet '2020'", "'2019'"]),
    ({"shop.xlsx": _workbook()}, BOOK + "header_row = 4\n", ["shop.xlsx", "no row 4 with headings"]),
    ({"other.csv": "Ordre,Inn\nA1,2020-01-02\n"}, PROFILE, ["other.csv", "no profile", "fleetstats draft"]),
    ({"other.csv": "vehicle_id,date,workin\nA1,2020-01-02,yes\n"}, PROFILE, ["other.csv", 'should be "working"']),
    ({"shop.pdf": "x"}, PROFILE, ["shop.pdf", ".csv"]),
])
def test_bad_input_is_told_in_one_paragraph_with_place_and_remedy(write_project, raw, profile, told):
    """Each fault names the file, what is wrong and what to do, in one paragraph, with the exit code of refused input."""
    with pytest.raises(InputRefused) as refusal:
        read_sources(write_project(raw, {"harbour": profile}))
    message = str(refusal.value)
    assert [part for part in told if part not in message] == []
    assert "\n" not in message
    assert refusal.value.exit_code == 3


def test_two_profiles_for_one_file_are_refused(write_project):
    """Which one is meant is not guessed."""
    with pytest.raises(InputRefused, match="several profiles claim this file: a, b"):
        read_sources(write_project({"shop.csv": "Order,In\nA1,2020-01-02\n"}, {"a": PROFILE, "b": PROFILE}))


def test_a_missing_file_cannot_be_drafted(tmp_path):
    """The error names the file, not the folder."""
    with pytest.raises(InputRefused, match=r"^gone\.csv: the file does not exist"):
        draft_profile(tmp_path / "gone.csv")


def test_a_word_for_an_unknown_code_is_refused(write_project):
    """words.toml with a code that does not exist names the nearest one of its item."""
    project = write_project({"shop.csv": "Order,In\nA1,2020-01-02\n"}, {"harbour": PROFILE}, '[words.FND_CU_BLOK]\nphrases = ["x"]\n')
    with pytest.raises(InputRefused, match=r'Perhaps "FND_CU_BLOCK" is meant'):
        read_sources(project)


def test_every_file_that_cannot_be_read_is_named_at_once(write_project):
    """An empty export, one without a profile and one that is broken: one refusal names them all with their remedies, so that nothing is missing in silence."""
    good = "vehicle_id,date\nV1,2021-01-02\n"
    project = write_project({"empty.csv": "\n", "strange.csv": "Van,When\nV1,today\n", "cut.xlsx": b"PK\x03\x04", "good.csv": good})
    with pytest.raises(InputRefused) as caught:
        read_sources(project)
    assert [problem.file for problem in caught.value.problems] == ["cut.xlsx", "empty.csv", "strange.csv"]
    assert all(name in str(caught.value) for name in ("save it again as .xlsx", "take it out of raw/", "fleetstats draft"))
