"""Projects that hold less than the demo: a full report each, and no number that so little cannot carry.

Rules of silence: fewer than 10 definite bench verdicts, no share and no corrected life; fewer than 10 failures, no parametric life;
ends of a quantile more than a factor 4 apart, no point.
"""

import re

import pytest
from click.testing import CliRunner

import fleetstats
from fleetstats.cli import main
from fleetstats.report import Quarterly
from fleetstats.report.quarterly import ANSWERED, BOUNDS, CANNOT_SAY
from tests.report.page_reader import Page
from tests.report.reduced import REDUCED

FEWEST = 10


@pytest.fixture(scope="module", params=list(REDUCED))
def reduced(request, tmp_path_factory) -> tuple[str, object, Quarterly, str]:
    """Name, how `run` ended, the result, and the page."""
    folder = REDUCED[request.param](tmp_path_factory.mktemp("reduced") / "project")
    done = CliRunner().invoke(main, ["run", str(folder)], catch_exceptions=False)
    page = (folder / "out" / "quarterly_2025-Q4.html").read_text(encoding="utf-8")
    return request.param, done, fleetstats.analyse(fleetstats.open_project(folder)), page


def test_run_ends_with_0_and_a_full_report(reduced):
    """Exit code 0, the path printed, all ten sections on the page, every question with a state."""
    _, done, result, page = reduced
    assert done.exit_code == 0
    assert "Report: " in done.stdout
    assert Page(page).headings.count(2) in (11, 12)
    assert len(result.answers) == 10


def test_silence_comes_with_a_reason_and_a_remedy(reduced):
    """Whatever is not answered says why, and the smallest thing that would change it."""
    _, _, result, page = reduced
    for answer in result.answers:
        assert answer.state in (ANSWERED, BOUNDS, CANNOT_SAY)
        if answer.state != ANSWERED:
            assert answer.because
            assert answer.smallest_change
            assert answer.question in Page(page).text


def test_no_share_below_ten_verdicts(reduced):
    """Fewer than ten definite verdicts: bounds only, overall, by shop, under every assumption."""
    _, _, result, page = reduced
    audit = result.audit
    if audit is None or audit.tested >= FEWEST:
        return
    assert audit.needless_share.corrected is None
    assert audit.needless_share.corrected_all_shops is None
    assert all(row.corrected is None for row in audit.by_shop)
    assert audit.by_bench_accuracy == audit.by_odds_tested == ()
    assert all(row.share.lower is None and row.share.upper is None for row in audit.scenarios)
    assert "corrected, shops that bench" not in Page(page).text


def test_no_corrected_life_without_an_anchor(reduced):
    """Fewer than ten verdicts: no corrected life, no corrected curve, no needless rate, no outlook."""
    _, _, result, _ = reduced
    if result.audit is not None and result.audit.tested >= FEWEST:
        return
    assert result.lives is None or all(p.basis == "as_recorded" for p in result.lives.populations)
    assert all(curve.basis == "as_recorded" for curve in result.curves)
    assert result.needless_rates is None
    assert result.next_year is None


def test_no_life_below_ten_failures_and_no_point_of_a_wide_interval(reduced):
    """Every population printed has ten failures; a point stands only where the ends are within a factor of 4."""
    _, _, result, _ = reduced
    for population in result.lives.populations if result.lives is not None else ():
        assert population.failures >= FEWEST
        for age in (population.b10_years, population.b50_years):
            if age.estimate is not None:
                assert age.lower is not None
                assert age.upper is not None
                assert age.upper / age.lower <= 4.0 + 1e-9


def test_no_money_without_prices(reduced):
    """Without prices.toml no option has a cost and the coming year no sum."""
    name, _, result, page = reduced
    if name != "no prices":
        return
    assert result.next_year is not None
    assert result.next_year.total_cost is None
    assert all(line.cost is None for visit in result.open_visits if visit.decision is not None for line in visit.decision.options)
    assert "prices.toml" in Page(page).text


def test_what_each_project_can_say(reduced):
    """One sentence that must be there, for each project."""
    name, _, result, page = reduced
    text = Page(page).text
    expected = {
        "no bench tests": r"too few verdicts for an estimate", "no serials": r"of the \d+ condemned by shops that bench were healthy",
        "one year, forty vehicles": r"cannot say", "no prices": r"one in ten has failed by \d", "bench log only": r"Of \d+ cores sent to this bench",
        "one workbook": r"too few verdicts for an estimate",
    }
    assert re.search(expected[name], text)
    assert result.files["rows_read"].sum() > 0
