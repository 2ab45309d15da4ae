"""What README.md shows of the demo, made from the demo itself.

Run: python -m tests.ground.readme          (rewrites the answers and the picture)
"""

import re
from pathlib import Path

import fleetstats as fs
from fleetstats.cli.text import pairs
from fleetstats.figures.words import money_with_interval, percent, with_interval, years
from fleetstats.report.summary import summary_lines
from fleetstats.settings import Project
from tests.demo import imported_demo

ROOT = Path(__file__).parents[2]
README, PICTURE = ROOT / "README.md", ROOT / ".pictures" / "survival.svg"
BLOCK = re.compile(r"(outside address:\n\n```\n).*?(```)", re.DOTALL)


def with_answers(text: str, quarterly: object) -> str:
    """README's text with the demo's answers in its block."""
    answers = pairs(summary_lines(quarterly), width=100)
    report = f"Report: synthetic_data/out/quarterly_{quarterly.quarter}.html"
    return BLOCK.sub(lambda found: f"{found[1]}{answers}\n\n{report}\n{found[2]}", text)


def headline_numbers(quarterly: object) -> tuple[str, ...]:
    """The numbers of the first screen, as the report words them."""
    lives, coming = quarterly.lives, quarterly.next_year
    return (
        with_interval(lives.population("new", "corrected").b10_years, years),
        with_interval(quarterly.audit.needless_share.corrected, percent),
        money_with_interval(coming.total_cost, coming.price_basis),
    )


def main() -> None:
    """Rewrite the block of answers and the picture; the table and the sentences are a person's to mend."""
    quarterly = fs.analyse(Project(imported_demo()))
    text = with_answers(README.read_text(encoding="utf-8"), quarterly)
    README.write_text(text, encoding="utf-8")
    curves = [curve for curve in quarterly.curves if curve.origin == "new"]
    axes = fs.figures.survival(curves, note="Demo fleet, whose truth is known; 90 % bands.")
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(fs.figures.svg(axes, "survival", "How long new cooling units last", fs.figures.survival_alt(curves)), encoding="utf-8")
    missing = [number for number in headline_numbers(quarterly) if number not in text]
    print(f"Mend by hand in README.md: {missing}" if missing else "README.md is current.")


if __name__ == "__main__":
    main()
