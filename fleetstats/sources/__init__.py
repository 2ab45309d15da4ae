"""Sources: a shop's file, whatever it looks like, to typed rows with an address."""

from fleetstats.sources.draft import draft_profile
from fleetstats.sources.profile import Profile, load_profiles
from fleetstats.sources.read import read_sources
from fleetstats.sources.source_file import SourceFile
from fleetstats.sources.template import template_workbook

__all__ = ["Profile", "SourceFile", "draft_profile", "load_profiles", "read_sources", "template_workbook"]
