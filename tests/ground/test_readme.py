"""README says what the demo answers today."""

import fleetstats as fs
from tests.ground.readme import PICTURE, README, headline_numbers, with_answers


def test_readme_shows_the_answers_of_the_demo(demo_project):
    """The block of answers and the numbers of the first screen are those the package gives; `python -m tests.ground.readme` renews them."""
    text, quarterly = README.read_text(encoding="utf-8"), fs.analyse(demo_project)
    assert text == with_answers(text, quarterly)
    for number in headline_numbers(quarterly):
        assert number in text


def test_readme_opens_with_the_job_and_has_both_lines():
    """The first paragraph is the job; the set-up lines are complete, each from an empty environment; the picture exists."""
    text = README.read_text(encoding="utf-8")
    assert text.split("\n\n")[1].startswith("An absorption cooling unit")
    for line in (
        "    python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/fleetstats run synthetic_data\n",
        '    python3 -m venv .venv && .venv/bin/pip install ".[notebooks,dev]" && .venv/bin/python -m pytest -n auto\n',
    ):
        assert line in text
    assert PICTURE.is_file()
