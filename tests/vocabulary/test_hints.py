"""What would teach an unknown text."""

import pandas as pd

from fleetstats.vocabulary import load_vocabulary
from fleetstats.vocabulary.hints import teaching


def _unknown(*texts: str) -> pd.DataFrame:
    return pd.DataFrame({"text": texts, "count": 2, "example": texts, "file": "a.csv", "sheet": None, "row": 2})


def test_the_lines_that_are_shown_teach_the_text(tmp_path):
    """Written into words.toml as shown, the text is read as the code that was named; quotation marks in it do no harm."""
    listed = teaching(_unknown('cooling unit "kapores" inside', "mud daubber nests"))
    path = tmp_path / "words.toml"
    code = listed["near_code"].fillna("FND_CU_BAD")
    path.write_text("\n".join(text.replace("CODE", "FND_CU_BAD") for text in listed["teach"]), encoding="utf-8")
    taught = load_vocabulary(path)
    for text, wanted in zip(listed["text"], code, strict=True):
        assert wanted in taught.read(text).codes()


def test_no_phrase_is_named_where_none_is_alike():
    """A text without likeness leaves the code to the person."""
    listed = teaching(_unknown("qqqq zzzz xxxx"))
    assert listed["near_code"].isna().all()
    assert listed.loc[0, "teach"] == '[words.CODE]\nphrases = ["qqqq zzzz xxxx"]'
