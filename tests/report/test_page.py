"""The page made of results by hand: self-contained, readable, escaped, and empty parts say why."""

import datetime as dt
import re

import pandas as pd
import pytest

from fleetstats.report import Answer, OpenVisit
from fleetstats.report.page import html
from tests.figures.made import SPEND, curve, decision
from tests.report.made import quarterly
from tests.report.page_reader import Page


def visit(name: str, gate: str, **more) -> OpenVisit:
    held = {"visit_id": name, "vehicle_id": f"V-{name}", "shop": "Harbour workshop", "opened": dt.date(2025, 12, 1), "symptom": "no cooling"}
    held["gate_finding"] = ""
    return OpenVisit(gate_state=gate, **{**held, **more})


FULL = quarterly(
    curves=(curve("as_recorded", "steps", 0.4), curve("corrected", "fitted", 0.6)), spend=SPEND, incomplete={"Harbour workshop": "2025-12-15"},
    open_visits=(visit("b", "closed", gate_finding="smell of ammonia"), visit("c", "clear", decision=decision()), visit("a", "closed", gate_finding="residue")),
    answers=(Answer(question="How many?", state="cannot say", because="No tests.", smallest_change="Bench ten."),),
    unknown=pd.DataFrame({"text": ["<script>alert(1)</script> & more"], "count": [3]}), reasons={"audit": "No unit was condemned."},
)


@pytest.fixture(scope="module")
def page() -> str:
    return html(FULL)


def test_nothing_comes_from_outside(page):
    """One file: no script, no address, no import, no external style, font or picture."""
    assert not re.search(r"https?:|//[a-z]|<script|<link|<img|@import|url\((?!#)|javascript:", page)


def test_text_from_files_stays_text(page):
    """What a file holds is escaped, so a planted script is shown as words."""
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; more" in page


def test_the_page_is_built_to_be_read_by_anyone(page):
    """Language, one first heading, headings that skip no level, a way to skip, captions, scopes, every drawing named; ids unique, links land."""
    read = Page(page)
    assert page.startswith('<!doctype html>\n<html lang="en">')
    assert read.headings.count(1) == 1
    assert all(after - before <= 1 for before, after in zip(read.headings, read.headings[1:], strict=False))
    assert read.links[0] == "#main"
    assert read.tags.count("table") == read.tags.count("caption") > 5
    assert read.heads_without_scope == 0
    assert read.drawings
    assert all(drawing["role"] == "img" and drawing["aria-labelledby"] for drawing in read.drawings)
    assert len(read.ids) == len(set(read.ids))
    assert {link[1:] for link in read.links} <= set(read.ids)


def test_closed_gates_head_the_report_by_vehicle(page):
    """An open visit with a closed gate stands before all prose and figures, in the order of vehicles."""
    start = page.index('id="off-hire"')
    assert start < page.index("For the fleet manager") < page.index("<svg")
    assert start < page.index("V-a") < page.index("V-b")
    assert "Off hire" not in html(quarterly(open_visits=(visit("c", "clear"),)))


def test_every_missing_part_says_so():
    """With nothing answered the page still has all ten sections, and each missing part a reason."""
    read = Page(html(quarterly(reasons={"audit": "No unit was condemned."})))
    assert read.headings.count(2) == 11
    assert "Cannot say: No unit was condemned." in read.text
    assert read.text.count("Cannot say:") >= 4


def test_words_of_our_own(page):
    """Words that belong to other kinds of report never stand on the page."""
    assert not re.search(r"\b(KPI|dashboard|asset|work order|suspension|posterior)s?\b", Page(page).text, re.IGNORECASE)


def test_the_same_result_gives_the_same_bytes(page):
    """No clock, no random ids: rendered again, equal."""
    assert html(FULL) == page


def test_text_stands_out_from_paper():
    """WCAG 2.1 contrast of every text colour of the style against the paper: at least 4.5 to 1."""
    style = html(FULL).split("<style>")[1].split("</style>")[0]
    paper = re.search(r"body \{[^}]*background: (#\w+)", style)[1]
    colours = set(re.findall(r"(?<!background: )(?<!-)color: (#\w+)", style))
    assert len(colours) >= 3
    for colour in colours:
        light, dark = sorted((luminance(paper), luminance(colour)), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def luminance(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    channels = [int(digits[i:i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
