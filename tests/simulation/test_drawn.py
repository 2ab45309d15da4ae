"""Ten fleets whose layouts, wordings and diseases are drawn: does the import find in them what is there?"""

import datetime as dt
import platform
from importlib.metadata import version
from pathlib import Path

import pytest

from tests.drawn.study import TARGETS, study, summary
from tests.drawn.wording import BOOK, SECOND

SEEDS = range(1, 11)
VEHICLES = 150
RESULTS = Path(__file__).with_name("RESULTS.md")
MARKS = {BOOK: "<!-- drawn -->", SECOND: "<!-- drawn, second words -->"}
UNPREPARED = {"account: files": 1.0, "account: rows": 1.0, "events: recall": 0.9, "events: precision": 0.97, "duplicates: precision": 0.99}
"""What words that nobody prepared for must not break: nothing is lost, hardly anything is said wrongly, most is understood."""


@pytest.mark.slow
@pytest.mark.parametrize(("book", "least"), [(BOOK, TARGETS), (SECOND, UNPREPARED)], ids=["first words", "second words"])
def test_ten_drawn_fleets_are_read_as_they_truly_were(book, least):
    """Over ten drawn fleets, each measured by itself against its truth: every account holds, and every figure with a target reaches it.

    An event is a unit condemned or exchanged, a component repaired, or nothing found; what each figure counts stands in tests/drawn/measure.py.
    The second word list is held back from those who work on the vocabulary: its figures are those of a shop nobody has met."""
    table = summary(study(SEEDS, vehicles=VEHICLES, book=book))
    _write(table, MARKS[book])
    share = table.set_index("figure")["share"]
    missed = [f"{name}: {share[name]:.4f} < {target}" for name, target in least.items() if share[name] < target]
    assert not missed, missed


def _write(table, mark: str) -> None:
    """Put the figures between the marks of RESULTS.md beside what is aimed at, whether they please or not."""
    head, _, tail = RESULTS.read_text(encoding="utf-8").split(mark)
    versions = ", ".join(f"{name} {version(name)}" for name in ("numpy", "pandas", "pyarrow"))
    lines = ["", f"Made on {dt.date.today()}, Python {platform.python_version()}, {versions}; seeds {SEEDS[0]} to {SEEDS[-1]}, {VEHICLES} vehicles each.", ""]
    lines += ["| figure | right | of | share | lowest fleet | target |", "|---|---|---|---|---|---|"]
    for row in table.itertuples(index=False):
        target = TARGETS.get(row.figure)
        aim = "" if target is None else f"{target:g}" if row.share >= target else f"{target:g}: **missed**"
        lines.append(f"| {row.figure} | {row.right} | {row.of} | {row.share:.4f} | {row.lowest:.4f} | {aim} |")
    RESULTS.write_text(f"{head}{mark}\n" + "\n".join(lines) + f"\n\n{mark}{tail}", encoding="utf-8")
