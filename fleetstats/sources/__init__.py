"""Sources: a shop's file, whatever it looks like, to typed rows with an address."""

from fleetstats.sources.draft import draft_profile
from fleetstats.sources.preview import FilePreview, preview
from fleetstats.sources.profile import Profile, load_profile, load_profiles
from fleetstats.sources.read import ReadTask, file_sha256, raw_fingerprints, read_one, read_sources, read_tasks
from fleetstats.sources.source_file import SourceFile
from fleetstats.sources.template import template_workbook
from fleetstats.sources.unfinished import unfinished

__all__ = [
    "FilePreview", "Profile", "ReadTask", "SourceFile", "draft_profile", "file_sha256", "load_profile", "load_profiles", "preview", "raw_fingerprints",
    "read_one", "read_sources", "read_tasks", "template_workbook", "unfinished",
]
