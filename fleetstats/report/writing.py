"""The report's files: written beside, then renamed, so that a broken run leaves no half page under the final name."""

from __future__ import annotations

import json
import os
from pathlib import Path

from fleetstats.report.page import html
from fleetstats.report.quarterly import Quarterly
from fleetstats.results import SCHEMA_VERSION


def write_report(quarterly: Quarterly, folder: Path) -> tuple[Path, Path]:
    """Write quarterly_YYYY-Qn.html and .json into `folder` (made when missing); returns the two paths. Same inputs, same bytes."""
    folder.mkdir(parents=True, exist_ok=True)
    stem = folder / f"quarterly_{quarterly.quarter}"
    return _write(stem.with_suffix(".html"), html(quarterly)), _write(stem.with_suffix(".json"), _json(quarterly))


def _json(quarterly: Quarterly) -> str:
    body = {"schema": f"fleetstats.quarterly/{SCHEMA_VERSION}", **quarterly.to_dict()}
    return json.dumps(body, sort_keys=True, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _write(path: Path, text: str) -> Path:
    beside = path.with_name(f".{path.name}.part")
    beside.write_bytes(text.encode("utf-8"))
    os.replace(beside, path)
    return path
