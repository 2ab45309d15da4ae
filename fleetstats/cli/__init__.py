"""The command line: one file per command, each one call of the package. Nothing heavy is imported before a command runs."""

from fleetstats.cli.group import main

__all__ = ["main"]
