import time

import pandas as pd
import pytest

from fleetstats.sources import read_sources
from fleetstats.sources.text import read_texts
from fleetstats.vocabulary import load_vocabulary

PROFILE = 'files = ["shop.csv"]\n[columns]\n"No" = "document"\n"Said" = "complaint_text"\n'


def test_a_text_of_pages_is_left_empty(write_project):
    """A cell of more than 20,000 signs is no note: its row is kept without it, and the Problem says how long it was."""
    source, = read_sources(write_project({"shop.csv": f"No,Said\nA1,fridge warm\nA2,{'fridge warm ' * 3000}\n"}, {"shop": PROFILE}))
    assert source.rows["symptom"].isna().tolist() == [False, True]
    problem, = source.problems
    assert (problem.row, problem.column) == (3, "Said")
    assert "35," in problem.what


@pytest.mark.parametrize("part", ["elem open, repl cu; ", "burner dirty not cu ", "lp 11wc box 38f ", "fridge ", "box 3 ", "call 0", "no smell ", "a.b. ",
    "10-12wc "])
def test_long_texts_are_read_in_time(part: str):
    """Ten pages of anything are read in a few seconds: no step takes time by the square of the length."""
    vocabulary, text = load_vocabulary(), (part * 4000)[:20_000]
    began = time.process_time()
    read_texts(pd.DataFrame({"complaint_text": ["fridge"], "correction_text": [text]}, index=[2], dtype="string"), vocabulary, table="visits", mixed=True)
    assert time.process_time() - began < 5
