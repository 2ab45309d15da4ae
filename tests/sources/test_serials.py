import datetime as dt

import pytest

from fleetstats.sources.cell import Fault
from fleetstats.sources.serials import normal_serial, serial_parser

PARSE = serial_parser()


@pytest.mark.parametrize("text", ["M1025-6349", "m1025 6349", "S/N M1025-6349", "Ser. M1025.6349", " serial no: M1025-6349"])
def test_one_serial_in_many_dresses(text: str):
    """Case, blanks, dashes and a label do not make another unit."""
    assert PARSE(text) == "M10256349" == normal_serial("M1025-6349")


@pytest.mark.parametrize("text", ["0", "0000", "XXX", "xxxxxx", "?", "???", "---", 0, 0.0, "0-0-0", ""])
def test_a_placeholder_is_no_serial(text: object):
    """One sign again and again says that nobody read the plate: no value, and nothing to mend."""
    assert PARSE(text) is None


@pytest.mark.parametrize(("text", "what"), [
    ("see photo", "words"), ("illegible", "words"), ("K100123 / K100124", "several"), ("K100123, K100124", "several"), ("was K100123 now K100124", "several"),
    ("1.23E+11", "rounded"), (1.5, "rounded"), (1.23e17, "rounded"), (dt.date(2023, 5, 1), "date"), ("4E12", "rounded"),
])
def test_what_cannot_be_one_serial_is_a_fault(text: object, what: str):
    """Two units in one cell are not one; what a spreadsheet made of a number or a code is not what stood on the plate."""
    fault = PARSE(text)
    assert isinstance(fault, Fault)
    assert what in fault.what


def test_numbers_of_a_workbook_are_serials():
    """A serial of digits alone comes as a number from a workbook; up to 15 digits nothing is lost."""
    assert PARSE(10012345.0) == PARSE(10012345) == "10012345"
    assert PARSE("12345/67") == "1234567"
