"""The list of codes that users map to, teach and write in cases."""

from fleetstats.vocabulary import load_vocabulary
from fleetstats.vocabulary.entries import shipped_entries
from fleetstats.vocabulary.listing import codes, codes_markdown


def test_every_shipped_code_is_listed_once_with_its_definition():
    """Nothing that may be written in a case or a profile is missing from the list."""
    listed = codes()
    assert set(listed["code"]) == set(shipped_entries())
    assert listed["code"].is_unique
    assert listed["definition"].str.len().gt(0).all()
    assert (listed.set_index("code")["definition"] == [load_vocabulary().definition(code) for code in listed["code"]]).all()


def test_the_page_has_even_rows():
    """Five bars in every line of the Markdown tables."""
    page = codes_markdown()
    assert {line.count("|") for line in page.splitlines() if line.startswith("|")} == {5}
    assert "C01" in page
    assert "SYM_NOCOOL" in page
