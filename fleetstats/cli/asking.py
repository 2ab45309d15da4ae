"""The records of a project with the options of the command line in force."""

from __future__ import annotations

from pathlib import Path

from fleetstats.records import Fleet
from fleetstats.report.grounds import fleet_of
from fleetstats.settings import open_project


def asked_fleet(project_folder: Path, level: float | None = None, seed: int | None = None) -> Fleet:
    """The store's records; level and seed replace those of the settings where given."""
    return fleet_of(open_project(project_folder), level, seed)
