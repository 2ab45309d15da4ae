"""Sources: a shop's file, whatever it looks like, to typed rows with an address."""

from fleetstats.sources.profile import Profile, load_profiles
from fleetstats.sources.source_file import SourceFile

__all__ = ["Profile", "SourceFile", "load_profiles"]
