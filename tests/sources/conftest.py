from collections.abc import Callable
from pathlib import Path

import pytest

from fleetstats.settings import Project

WriteProject = Callable[..., Project]


@pytest.fixture
def write_project(tmp_path: Path) -> WriteProject:
    """A project folder with the raw files (text or bytes) and profiles given by name."""
    def write(raw: dict[str, str | bytes], profiles: dict[str, str] | None = None, words: str | None = None) -> Project:
        project = Project(tmp_path)
        project.raw.mkdir(exist_ok=True)
        project.profiles.mkdir(exist_ok=True)
        (tmp_path / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
        for name, content in raw.items():
            (project.raw / name).write_bytes(content if isinstance(content, bytes) else content.encode())
        for name, content in (profiles or {}).items():
            (project.profiles / f"{name}.toml").write_text(content, encoding="utf-8")
        if words is not None:
            project.words.write_text(words, encoding="utf-8")
        return project
    return write
