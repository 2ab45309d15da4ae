"""What would teach an unknown text."""

import pandas as pd
import pytest

from fleetstats.vocabulary import load_vocabulary
from fleetstats.vocabulary.hints import teaching


def _unknown(*texts: str) -> pd.DataFrame:
    return pd.DataFrame({"text": texts, "count": 2, "example": texts, "file": "a.csv", "sheet": None, "row": 2})


def test_the_lines_that_are_shown_teach_the_text(tmp_path):
    """Written into words.toml as shown, the text is read as the code that a person put there; quotation marks in it do no harm."""
    listed = teaching(_unknown('cooling unit "kapores" inside', "mud daubber nests"))
    path = tmp_path / "words.toml"
    code = ["FND_CU_BAD", "ACT_LP_SERVICE"]
    path.write_text("\n".join(text.replace("CODE", wanted) for text, wanted in zip(listed["teach"], code, strict=True)), encoding="utf-8")
    taught = load_vocabulary(path)
    for text, wanted in zip(listed["text"], code, strict=True):
        assert wanted in taught.read(text).codes()


def test_no_phrase_is_named_where_none_is_alike():
    """A text without likeness leaves the code to the person."""
    listed = teaching(_unknown("qqqq zzzz xxxx"))
    assert listed["near_code"].isna().all()
    assert listed.loc[0, "teach"] == '[words.CODE]\nphrases = ["qqqq zzzz xxxx"]'


@pytest.mark.parametrize("text", ["ask", "desk", "ask desk", "ring customer", "beer warm", "renter spilt milk on shelf", "unit leek", "thermocuple bad",
                                  "asked at the desk", "smells of pee", "cooling unit leaf", "fan fitted kapores"])
def test_a_finding_is_not_named_by_a_distant_likeness_nor_for_ordinary_words(text: str):
    """Letters in common are no meaning in common."""
    assert teaching(_unknown(text))["near_code"].isna().all()


@pytest.mark.parametrize(("text", "code"), [("door wontlatch", "SYM_DOOR"), ("smells like catt peee", "SYM_AMMONIA")])
def test_a_slip_in_a_word_nobody_knows_is_near(text: str, code: str):
    """All its known words are those of the phrase."""
    assert teaching(_unknown(text)).loc[0, "near_code"] == code
