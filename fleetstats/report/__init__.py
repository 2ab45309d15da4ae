"""The quarterly report: every question the data can carry asked once, and one self-contained page with its JSON."""

from fleetstats.report.analysis import analyse
from fleetstats.report.changes import change_words
from fleetstats.report.grounds import Grounds, grounds_of
from fleetstats.report.headline import keep_headline
from fleetstats.report.quarterly import Answer, OpenVisit, Quarterly
from fleetstats.report.summary import summary_lines
from fleetstats.report.writing import write_report

__all__ = ["Answer", "Grounds", "OpenVisit", "Quarterly", "analyse", "change_words", "grounds_of", "keep_headline", "summary_lines", "write_report"]
