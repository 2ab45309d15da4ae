"""Refusals are told by fault, and a visit is found by the shop's own number."""

import pandas as pd
import pytest

from fleetstats import tables
from fleetstats.errors import InputRefused
from fleetstats.records import explain, refusals


def test_refusals_are_counted_by_fault_with_the_remedy_of_the_first():
    """Three rejects of two faults: two lines, the commoner first, counts adding up to the rows."""
    rejects = tables.REJECTS.check(pd.DataFrame({
        "file": ["a.csv", "a.csv", "b.csv"], "row": [3, 9, 2], "column": ["In", "In", "Total"], "scope": "cell",
        "what": ["ambiguous date", "ambiguous date", "no currency"], "remedy": ["Set date_order.", "Set date_order.", "State it."],
    }))
    counted = refusals(rejects)
    assert counted["times"].tolist() == [2, 1]
    assert counted["remedy"].tolist() == ["Set date_order.", "State it."]
    assert counted["times"].sum() == len(rejects)


def test_a_visit_is_found_by_the_number_its_shop_wrote(demo_fleet):
    """A document number that only one visit has explains that visit; one that nobody wrote is refused with the nearest names."""
    single = demo_fleet.visits["document"].dropna().drop_duplicates(keep=False).iloc[0]
    found = explain(demo_fleet, single)
    assert found.kind == "visit"
    assert found.name.endswith(f":{single}")
    with pytest.raises(InputRefused, match="nearest names|Name a visit"):
        explain(demo_fleet, "QQ-no-such-number")
