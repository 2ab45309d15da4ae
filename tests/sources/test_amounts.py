import pytest

from fleetstats.sources.amounts import amount_parser, number_parser, pays_warranty
from fleetstats.sources.cell import Fault

POINT = amount_parser(".", ",", "USD")
COMMA = amount_parser(",", " ", "CAD")


@pytest.mark.parametrize(("text", "amount"), [
    ("$1,234.50", 1234.5), ("1234.5", 1234.5), ("(123.45)", -123.45), ("($1,000.00)", -1000), ("-$5.00", -5), ("$-5", -5), ("5.00-", -5), ("12.00 CR", -12),
    (".5", 0.5), ("US$ 7", 7), ("n/c", 0), ("no charge", 0), ("+3", 3), (12, 12.0), (3.5, 3.5),
    ("1 234,50 $", 1234.5), ("-86,41 $", -86.41), ("120.00 warranty", 120), ("12.00 DR", 12), ("\u221245.00", -45), ("-$150.00", -150),
])
def test_amounts_with_a_decimal_point(text: object, amount: float):
    """Dollars as North American shops write them: signs, thousands, negatives in parentheses or with CR, 'n/c' is nothing to pay."""
    assert POINT(text) == pytest.approx(amount)


@pytest.mark.parametrize(("text", "amount"), [("1 234,50 $", 1234.5), ("1\u00a0234,50\u00a0$", 1234.5), ("0,80", 0.8), ("86,41 $", 86.41), ("sans frais",
    0), ("(5,00 $)", -5)])
def test_amounts_with_a_decimal_comma(text: str, amount: float):
    """Canadian French: a blank, also one that does not break, parts thousands, a comma the cents, the sign stands behind."""
    assert COMMA(text) == pytest.approx(amount)


@pytest.mark.parametrize(("parse", "text"), [(POINT, "1.234,50"), (POINT, "12,5"), (POINT, "1,23,456"), (COMMA, "12.50"), (COMMA, "1,234.50"),
    (POINT, "see note"), (POINT, True), (POINT, float("nan")), (POINT, "12.50 $ CA"), (POINT, "--5"), (POINT, "٣"), (POINT, "9" * 400), (POINT, 10**400)])
def test_a_mark_in_the_wrong_place_is_a_fault(parse, text: object):
    """'1.234,50' under a decimal point is neither 1.234 nor 1234.50: it has no value until the profile says which."""
    assert isinstance(parse(text), Fault)


@pytest.mark.parametrize(("text", "what"), [("10%", "percentage"), ("50-60", "two numbers"), ("2 x 45.00", "two numbers"), ("50/50", "two numbers"), ("~50",
    "guess"),
    ("50?", "guess"), ("approx 50", "guess"), ("see note", "words"), ("12abc", "not read")])
def test_a_fault_says_what_the_cell_holds(text: str, what: str):
    """A share, a range, a product, a guess or words are no amount, each by its own name."""
    fault = POINT(text)
    assert isinstance(fault, Fault)
    assert what in fault.what


def test_another_currency_is_a_fault():
    """A pound or euro sign in a file of dollars is not read as dollars; the dollar sign is that of any dollar."""
    assert isinstance(POINT("£12.00"), Fault)
    assert isinstance(POINT("12.00 EUR"), Fault)
    assert amount_parser(".", ",", "NZD")("$12.00") == 12


@pytest.mark.parametrize("text", ["warranty", "Warr", "under warranty", "garantie", "WTY"])
def test_warranty_in_a_money_cell_says_who_paid(text: str):
    """The cell has no amount and no fault; that the warranty paid is told apart."""
    assert POINT(text) is None
    assert pays_warranty(text)
    assert not pays_warranty("$12.00")


def test_plain_numbers_take_no_signs():
    """A litre or an hour has no currency."""
    assert number_parser(".", "")("150") == 150
    assert isinstance(number_parser(".", "")("$150"), Fault)
