import datetime as dt

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.sources.amounts import amount_parser
from fleetstats.sources.cell import unless_missing
from fleetstats.sources.columns import _parser
from fleetstats.sources.dates import date_parser
from fleetstats.sources.plain_values import plain_amounts, plain_dates, plain_identifiers, plain_serials
from fleetstats.sources.profile import Profile
from fleetstats.tables import VISITS

FIGURES = st.text(alphabet="0123456789.,' $£€-()9", min_size=1, max_size=10)
IDENTIFIERS = st.one_of(st.text(alphabet="SNERPHCALTO-/.#0123456789x @°", min_size=1, max_size=12), st.from_regex(r"[A-Z]{0,4}[0-9]{1,9}", fullmatch=True))
PROFILE = Profile(files=("*.csv",), columns={"Order": "document"})


@settings(max_examples=300, deadline=None)
@given(texts=st.lists(FIGURES, min_size=1, max_size=20), marks=st.sampled_from([(".", ","), (",", "."), (",", " "), (".", "'"), (".", "")]),
       currency=st.sampled_from([None, "USD", "GBP", "CHF"]))
def test_plain_amounts_mean_what_the_parser_of_amounts_says(texts, marks, currency):
    """Whatever is read as plain has the parser's value to the last digit; '9999' and figures in another currency are not plain."""
    plain, meanings = plain_amounts(*marks, currency)(texts)
    parse = unless_missing(amount_parser(*marks, currency))
    assert [meanings[place] for place in np.flatnonzero(plain)] == [parse(texts[place]) for place in np.flatnonzero(plain)]


def test_usual_amounts_are_plain():
    """Figures with two decimals, thousands and a sign need no parser; negatives and words do."""
    plain, meanings = plain_amounts(".", ",", "USD")(["$1,234.50", "12.05", "7", "(5.00)", "n/c", "£5", "9999"])
    assert plain.tolist() == [True, True, True, False, False, False, False]
    assert meanings[:3] == [1234.5, 12.05, 7.0]


DATES = st.builds(lambda parts, separator: separator.join(parts), st.lists(st.from_regex(r"[0-9]{1,4}", fullmatch=True), min_size=2, max_size=4),
                  st.sampled_from(["-", "/", ".", " "]))
DAYS = st.dates().flatmap(lambda day: st.sampled_from([f"{day:{form}}" for form in ("%Y-%m-%d", "%d/%m/%Y", "%m-%d-%Y", "%-d.%-m.%Y", "%d/%m/%y")]))


@settings(max_examples=300, deadline=None)
@given(texts=st.lists(st.one_of(DATES, DAYS), min_size=1, max_size=20), order=st.sampled_from([None, "dmy", "mdy", "ymd"]))
def test_plain_dates_mean_what_the_parser_of_dates_says(texts, order):
    """Whatever is read as plain is the parser's day, and no fault of it."""
    plain, meanings = plain_dates(order)(texts)
    parse = unless_missing(date_parser(order))
    assert [meanings[place] for place in np.flatnonzero(plain)] == [parse(texts[place]) for place in np.flatnonzero(plain)]


def test_usual_dates_are_plain():
    """Days of the calendar in the profile's order, and ISO dates; two-digit years, months by name, times of day and impossible or default days are not."""
    texts = ["31/12/2021", "1.3.2020", "2020-02-29", "2021-02-29", "12/31/2021", "01/02/21", "1 Mar 2020", "01/01/1900", "2020-02-29 10:00"]
    plain, meanings = plain_dates("dmy")(texts)
    assert plain.tolist() == [True, True, True, False, False, False, False, False, False]
    assert meanings[:3] == [dt.date(2021, 12, 31), dt.date(2020, 3, 1), dt.date(2020, 2, 29)]
    assert plain_dates(None)(texts)[0].tolist() == [False, False, True, False, False, False, False, False, False]


@pytest.mark.parametrize("name", ["document", "removed_serial", "vehicle_id"])
@settings(max_examples=200, deadline=None)
@given(texts=st.lists(IDENTIFIERS, min_size=1, max_size=20))
def test_plain_identifiers_mean_what_their_parser_says(name, texts):
    """A plain identifier is kept as it is: it has no label, no separator, no sign of a person, and is no word for 'not recorded', nor, as a serial,
    one digit again and again."""
    plain, meanings = (plain_serials if name == "removed_serial" else plain_identifiers)(texts)
    parse = unless_missing(_parser(name, VISITS.columns[name], PROFILE, None, pd.Series(texts, dtype=object)))
    assert [meanings[place] for place in np.flatnonzero(plain)] == [parse(texts[place]) for place in np.flatnonzero(plain)]


def test_usual_identifiers_are_plain_and_other_values_are_left_to_the_parser():
    """Letters and digits without a label are plain; a column with numbers of a workbook in it has no plain values."""
    assert plain_identifiers(["W0000017", "17", "S12031610", "SN123", "PH5550123", "C-118"])[0].tolist() == [True, True, True, False, False, False]
    assert not plain_identifiers(["W1", 17.0])[0].any()
