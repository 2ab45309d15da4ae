"""The demo project, imported once for each process that tests with it."""

from __future__ import annotations

import json
import os
from typing import Any

import pytest

from fleetstats.histories import Histories, build_histories
from fleetstats.records import Fleet, load_fleet
from fleetstats.settings import Project
from tests.demo import imported_demo
from tests.sources.server import binaries

SERVER_MISSING = binaries() is None and os.environ.get("CI") != "true"
collect_ignore = ["sources/test_postgresql.py"] if SERVER_MISSING else []


def pytest_report_header() -> list[str]:
    """Said when tests are left out because a program of the system is missing; in continuous integration they fail instead."""
    return ["left out: tests/sources/test_postgresql.py, since PostgreSQL is not installed (see .ci/prepare)"] if SERVER_MISSING else []


@pytest.fixture(scope="session")
def demo_project() -> Project:
    """The demo with its files imported; tests only read it."""
    return Project(imported_demo())


@pytest.fixture(scope="session")
def demo_fleet(demo_project: Project) -> Fleet:
    """The records of the demo."""
    return load_fleet(demo_project)


@pytest.fixture(scope="session")
def demo_histories(demo_fleet: Fleet) -> Histories:
    """The histories of the demo."""
    return build_histories(demo_fleet)


@pytest.fixture(scope="session")
def demo_truth(demo_project: Project) -> dict[str, Any]:
    """What an honest reader of the demo should find."""
    truth: dict[str, Any] = json.loads((demo_project.folder / "truth.json").read_text(encoding="utf-8"))
    return truth
