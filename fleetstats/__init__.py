"""fleetstats: from messy service records of absorption refrigerators to lives, misdiagnosis, decisions and budgets.

The names below are all that most people need; each is loaded from its room when it is first used.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:  # known to type checkers by its name; the import would double the start-up time
    from typing import Any

__version__ = "0.1.0"

_ROOMS = {
    "open_project": "settings",
    "import_files": "records",
    "load_fleet": "records",
    "build_histories": "histories",
    "draw_causes": "diagnosis",
    "audit_removals": "diagnosis",
    "audit_senders": "diagnosis",
    "estimate_life": "life",
    "read_case": "decision",
    "decide": "decision",
    "next_year": "budget",
    "analyse": "report",
    "write_report": "report",
    "figures": "figures",
}

__all__ = sorted(_ROOMS)


def __getattr__(name: str) -> Any:
    if name not in _ROOMS:
        raise AttributeError(f"module 'fleetstats' has no attribute '{name}'")
    from importlib import import_module

    room = import_module(f"fleetstats.{_ROOMS[name]}")
    return room if name == _ROOMS[name] else getattr(room, name)


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
