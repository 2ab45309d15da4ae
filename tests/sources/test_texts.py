"""Rows that say the same are judged once: the result is that of judging each."""

import random

import pandas as pd

from fleetstats.sources.about import is_refrigerator
from fleetstats.sources.judge import judge_visit
from fleetstats.sources.text import VISIT_FIELDS, WORDS, read_texts
from fleetstats.vocabulary import load_vocabulary
from tests.sources.told import checks_told

VOCABULARY = load_vocabulary()
COMPLAINTS = ["not cooling", "no cool on gas, ok on 240", "ammonia smell", "fridge warm, freezer ok", "spring check", "brakes squeal", "", "gas smell"]
CAUSES = ["element open {n} ohm", "elem OL", "cu leaking", "poss cu", "lp press {n} wc", "no fault found", "", "gas valve checked. Leak found.", "box {n} F"]
WORKS = ["replaced element, ran {n} h, ok", "fitted recon cu", "cleaned burner", "ran overnight, cools fine", "ran overnight", "refitted own cu", "", "sent on",
         "ran {n}h", "ran {n}h passed", "{n} h run test", "{n}h run test, pass", "ran {n}h ok", "good run test", "run test", "run test passed"]


def _rows() -> pd.DataFrame:
    draw = random.Random(7)
    wanted = [(draw.choice(COMPLAINTS), draw.choice(CAUSES), draw.choice(WORKS)) for _ in range(900)]
    texts = [[text.format(n=draw.choice(["5", "11", "64", "12.5", "120"])) for text in row] for row in wanted]
    return pd.DataFrame(texts, columns=["complaint_text", "cause_text", "correction_text"], index=range(2, 902)).astype("string")


def test_rows_judged_together_are_judged_alike():
    """900 composed rows: fields, words, checks and what is about the refrigerator, row by row."""
    rows = _rows()
    read = read_texts(rows, VOCABULARY, table="visits", mixed=True)
    for number, row in zip(rows.index, rows.to_dict("records"), strict=True):
        texts = {str(role): VOCABULARY.read(text) for role, text in row.items() if text}
        judged = judge_visit(texts, VOCABULARY)
        assert {name: None if pd.isna(value) else value for name, value in read.fields.loc[number, list(VISIT_FIELDS)].items()} == judged.fields
        for name in WORDS:
            place, words = judged.places[name], read.fields.loc[number, name]
            match = None if place is None else texts[place[0]].matches[place[1]]
            assert (None if pd.isna(words) else words) == (None if match is None or place is None else texts[place[0]].text[match.start:match.end])
        assert read.aside[number] == (not is_refrigerator(texts, VOCABULARY))
        checks = read.checks[read.checks["row"] == number]
        wanted = pd.DataFrame(checks_told(row, VOCABULARY).values(), columns=["check", "outcome", "value", "unit", "ambient", "elapsed_hours"])
        assert checks[["check", "outcome"]].to_numpy().tolist() == wanted[["check", "outcome"]].to_numpy().tolist()
        assert checks["value"].fillna(-1).tolist() == wanted["value"].astype(float).fillna(-1).tolist()
        assert checks["elapsed_hours"].fillna(-1).tolist() == wanted["elapsed_hours"].astype(float).fillna(-1).tolist()
