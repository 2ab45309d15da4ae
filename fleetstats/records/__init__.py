"""Records: who is who, which rows are one event, what was refused, and the store that keeps it."""

from fleetstats.records.account import ImportAccount, refusals
from fleetstats.records.explain import Explanation, explain
from fleetstats.records.fleet import Fleet
from fleetstats.records.importing import import_files, load_fleet

__all__ = ["Explanation", "Fleet", "ImportAccount", "explain", "import_files", "load_fleet", "refusals"]
