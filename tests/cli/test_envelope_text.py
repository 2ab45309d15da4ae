"""The envelope around every command's data, and plain text in columns."""

import json

import numpy as np
import pandas as pd

from fleetstats.cli.envelope import emit
from fleetstats.cli.text import pairs, table


def test_envelope_has_its_keys_and_no_nan(capsys):
    """One JSON object: schema with version number, version, inputs by name, parameters, seed, warnings, data; what is no number becomes null."""
    data = {"share": float("nan"), "n": np.int64(3), "day": pd.Timestamp("2025-12-31"), "rows": pd.DataFrame({"a": [1.0, np.nan]})}
    emit("check", data, inputs={"b.csv": "22", "a.csv": "11"}, parameters={"level": 0.9}, seed=7, warnings=["mind this"])
    found = json.loads(capsys.readouterr().out, parse_constant=lambda name: pytest_fail(name))
    assert set(found) == {"schema", "version", "inputs", "parameters", "seed", "warnings", "data"}
    assert found["schema"] == "fleetstats.check/1"
    assert found["inputs"] == [{"name": "a.csv", "sha256": "11"}, {"name": "b.csv", "sha256": "22"}]
    assert found["data"] == {"share": None, "n": 3, "day": "2025-12-31", "rows": [{"a": 1.0}, {"a": None}]}


def pytest_fail(name):
    raise AssertionError(f"{name} in JSON")


def test_pairs_wrap_below_their_own_column():
    """Long sentences go on under their first word, not under the label."""
    shown = pairs([("Life", "one two three four five six seven eight nine ten eleven")], width=38)
    assert shown.splitlines() == ["Life   one two three four five six", "       seven eight nine ten eleven"]


def test_table_puts_numbers_right_and_words_left():
    """Column widths by the longest cell; thousands by commas."""
    assert table(["file", "rows"], [["a.csv", 1234], ["longer.csv", 5]]).splitlines() == ["file         rows", "a.csv       1,234", "longer.csv      5"]
