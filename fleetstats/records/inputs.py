"""Everything the records of a project depend on, with the fingerprint of its bytes."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

from fleetstats.settings import SETTINGS_FILE, Project
from fleetstats.sources import file_sha256, raw_fingerprints

READING = ("errors", "documents", "quantities", "money", "vocabulary", "tables", "sources")
"""Rooms of the package whose code and words decide what is read from a file."""

ROOMS = (*READING, "records")
"""Rooms that decide what the records are."""


def fingerprints(project: Project) -> dict[str, str]:
    """Name -> sha256: the files in raw/, the profiles, the settings, taught words, and the package's own reading of them."""
    folder = project.folder
    singles = [path for path in (folder / SETTINGS_FILE, project.words) if path.is_file()]
    profiles = [path for path in project.profiles.rglob("*") if path.is_file() and not path.name.startswith(".")]
    found = {path.relative_to(folder).as_posix(): file_sha256(path) for path in (*profiles, *singles)}
    found |= {f"{project.raw.name}/{file}": sha256 for file, sha256 in raw_fingerprints(project).items()}
    return dict(sorted(found.items())) | {"fleetstats": package_sha256(ROOMS)}


@cache
def package_sha256(rooms: tuple[str, ...]) -> str:
    """sha256 of the code and words of some rooms: another version of the package reads the files anew."""
    digest = hashlib.sha256()
    root = resources.files("fleetstats")
    for room in rooms:
        for name, content in _texts(root / room, room) if (root / room).is_dir() else _texts_of_module(root, room):
            digest.update(name.encode() + b"\0" + content + b"\0")
    return digest.hexdigest()


def _texts(folder: Traversable, name: str) -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for entry in sorted(folder.iterdir(), key=lambda item: item.name):
        if entry.is_dir():
            found += _texts(entry, f"{name}/{entry.name}")
        elif entry.name.endswith((".py", ".toml")):
            found.append((f"{name}/{entry.name}", entry.read_bytes()))
    return found


def _texts_of_module(root: Traversable, room: str) -> list[tuple[str, bytes]]:
    module = root / f"{room}.py"
    return [(f"{room}.py", module.read_bytes())] if module.is_file() else []
