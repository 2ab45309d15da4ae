"""Records: who is who, which rows are one event, what was refused, and the store that keeps it."""

from fleetstats.records.account import ImportAccount, lost_cells, refusals
from fleetstats.records.explain import Explanation, explain
from fleetstats.records.facts import MONEY, contradicted, total_or_parts, without_total
from fleetstats.records.fleet import Fleet
from fleetstats.records.importing import import_files, load_fleet
from fleetstats.records.journal import Journal, read_journal
from fleetstats.records.merged import merge_reasons
from fleetstats.records.quality import QualityAccount, quality_account
from fleetstats.records.standing import left_hanging, still_open, why_not_open
from fleetstats.records.store import keep_figures, read_inputs
from fleetstats.records.told import InputChange, change_lines, input_changes

__all__ = [
    "MONEY", "Explanation", "Fleet", "ImportAccount", "InputChange", "Journal", "QualityAccount", "change_lines", "contradicted", "explain", "import_files",
    "input_changes", "keep_figures", "left_hanging", "load_fleet", "lost_cells", "merge_reasons", "quality_account", "read_inputs", "read_journal",
    "refusals", "still_open", "total_or_parts", "why_not_open", "without_total",
]
