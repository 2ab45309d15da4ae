import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.sources.amounts import amount_parser
from fleetstats.sources.cell import unless_missing
from fleetstats.sources.columns import _parser
from fleetstats.sources.plain_values import plain_amounts, plain_identifiers, plain_serials
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
