"""What changed since the last import: on the page, in the last words of a run and in JSON; silent where nothing did."""

import json
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from fleetstats.cli import main
from fleetstats.records import Journal
from fleetstats.report.changes import Figure, change_words, changes_since, packed
from fleetstats.tables import IMPORTED, IMPORTS
from tests.demo import copy_of, imported_demo

MADE = {"as_of": "2025-12-31", "level": 0.9, "seed": 1, "version": "1"}


def _journal(*figures: str | None) -> Journal:
    """Imports 1, 2, ... of one file that never changed, each with the figures given."""
    rows = [{"number": number, "finished": "2026-01-31T12:00:00Z", "version": "1", "figures": text} for number, text in enumerate(figures, 1)]
    files = [{"number": row["number"], "name": "raw/a.csv", "change": "unchanged", "sha256": "1", "rows_read": 3} for row in rows]
    return Journal(imports=IMPORTS.conform(pd.DataFrame(rows)), imported=IMPORTED.conform(pd.DataFrame(files)))


def _run(*arguments: str):
    done = CliRunner().invoke(main, ["run", *arguments], catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize(("before", "now", "says"), [
    (Figure(name="visits", form="count", value=1200), Figure(name="visits", form="count", value=1210), "1,200 before, 1,210 now (10 more)"),
    (Figure(name="share", form="percent", value=0.3, lower=0.2, upper=0.4), Figure(name="share", form="percent", value=0.28, lower=0.19, upper=0.37),
     "30.0 % (20.0 to 40.0) before, 28.0 % (19.0 to 37.0) now (2.0 points less)"),
    (Figure(name="age", form="years", value=None), Figure(name="age", form="years", value=3.4), "cannot say before, 3.4 years now (could not be said before)"),
    (Figure(name="age", form="years", value=3.4), Figure(name="age", form="years", value=None, lower=1, upper=5),
     "3.4 years before, 1.0 to 5.0 years now (another interval)"),
    (Figure(name="cost", form="USD", value=5000.0), Figure(name="cost", form="USD", value=None), "USD 5,000 before, cannot say now (can no longer be said)"),
])
def test_a_figure_is_told_before_now_and_as_a_difference(before: Figure, now: Figure, says: str) -> None:
    """Counts, shares in points, ages, money, and figures that could not be said on one side."""
    changes = changes_since(_journal(packed([before], MADE), None), [now], MADE)
    assert changes is not None
    assert change_words(changes) == [f"{now.name}: {says}"]


def test_nothing_is_said_where_nothing_changed() -> None:
    """The first import has nothing before it; the same file with the same figures is no change, nor is one beyond what is printed."""
    figure = Figure(name="share", form="percent", value=0.3)
    assert changes_since(_journal(None), [figure], MADE) is None
    assert changes_since(_journal(packed([figure], MADE), None), [figure], MADE) is None
    assert changes_since(_journal(packed([figure], MADE), None), [Figure(name="share", form="percent", value=0.30001)], MADE) is None


def test_figures_made_with_another_seed_or_date_say_so() -> None:
    """A difference that may come from the seed is not passed off as one of the files."""
    before, now = (Figure(name="visits", form="count", value=value) for value in (5, 6))
    changes = changes_since(_journal(packed([before], MADE), None), [now], MADE | {"seed": 2})
    assert changes is not None
    assert changes.cautions == ("The figures were not made alike: seed 1 before, 2 now.",)


def test_a_run_on_changed_files_tells_page_json_and_person(tmp_path: Path) -> None:
    """The demo without one file, then with it: the first run is silent; the next says which file came and what moved, each time alike."""
    folder = copy_of(imported_demo(60), tmp_path / "demo")
    later = (folder / "raw" / "plateau_2020_2025.tsv").rename(tmp_path / "later.tsv")
    page = folder / "out" / "quarterly_2025-Q4.html"
    assert "What changed" not in _run(str(folder))
    assert "What changed" not in page.read_text(encoding="utf-8")
    later.rename(folder / "raw" / "plateau_2020_2025.tsv")
    said = _run(str(folder))
    assert "  raw/plateau_2020_2025.tsv: added; " in said
    assert "  visits: " in said
    pages = page.read_bytes(), page.with_suffix(".json").read_bytes()
    assert b"What changed since the last import" in pages[0]
    assert _run(str(folder)) == said
    assert (page.read_bytes(), page.with_suffix(".json").read_bytes()) == pages
    found = json.loads(_run(str(folder), "--json"))["data"]["report"]["changes"]
    assert [change["name"] for change in found["inputs"] if change["change"] == "added"] == ["raw/plateau_2020_2025.tsv"]
    visits = next(figure for figure in found["figures"] if figure["name"] == "visits")
    assert visits["now"] - visits["before"] == visits["difference"] > 0
