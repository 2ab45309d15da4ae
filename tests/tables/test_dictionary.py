"""The data dictionary is written from the declarations."""

from fleetstats.tables import TABLES, VISITS
from fleetstats.tables.dictionary import dictionary, dictionary_markdown


def test_the_dictionary_lists_every_declared_column_once():
    """Nothing declared is missing from the page, nothing stands twice."""
    rows = dictionary(TABLES.values())
    assert len(rows) == sum(len(table.columns) for table in TABLES.values())
    assert not rows.duplicated(["table", "column"]).any()


def test_limits_and_allowed_words_are_printed():
    """What the door checks is what the page says."""
    rows = dictionary([VISITS]).set_index("column")
    assert rows.loc["status", "allowed"] == "open, closed"
    assert rows.loc["labour_hours", "allowed"] == "from 0"
    assert rows.loc["visit_id", "required"]


def test_the_page_has_a_section_for_each_table_and_even_rows():
    """Markdown tables need the same number of cells in each line."""
    page = dictionary_markdown(TABLES.values())
    assert page.count("\n## ") == len(TABLES)
    lines = [line for line in page.splitlines() if line.startswith("|")]
    assert {line.replace("\\|", "").count("|") for line in lines} == {7}
