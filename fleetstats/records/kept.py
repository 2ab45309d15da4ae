"""What reading a file gave, kept as Parquet beside a manifest, and taken up again exactly."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import io
import json
import os
import shutil
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from fleetstats.errors import Problem
from fleetstats.records.columnar import dtypes_of, rows_of, to_arrow, to_pandas
from fleetstats.sources import SourceFile

MANIFEST = "manifest.json"
LONG = ("rows", "checks")
"""Frames of a SourceFile that are as long as the file."""
FIELDS = [field.name for field in dataclasses.fields(Problem)]


def save(sources: list[SourceFile], folder: Path) -> None:
    """Keep what a file gave in `folder`, which has its name only when it is whole. Raises OSError where there is no room."""
    beside = folder.with_name(f"{folder.name}.{os.getpid()}.part")
    folder.parent.mkdir(exist_ok=True)
    beside.mkdir(mode=0o700)  # it holds notes of visits
    try:
        kept = [_save(source, beside, place) for place, source in enumerate(sources)]
        (beside / MANIFEST).write_text(_sealed({"sources": kept, "files": _digests(beside)}), encoding="utf-8")
        shutil.rmtree(folder, ignore_errors=True)
        os.rename(beside, folder)
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def is_whole(folder: Path) -> bool:
    """Whether the partition is there and every byte of it is as it was written."""
    manifest = _manifest(folder)
    try:
        return manifest is not None and _digests(folder) == manifest["files"]
    except OSError:
        return False


def load(folder: Path) -> list[SourceFile]:
    """What the file gave, every value as it was read, and every dtype but that texts of `rows` and `checks` are left to Arrow."""
    manifest = _manifest(folder)
    assert manifest is not None
    return [_load(kept, folder) for kept in manifest["sources"]]


def _save(source: SourceFile, folder: Path, place: int) -> dict[str, Any]:
    """Write the frames of one SourceFile; returns what the manifest says of it."""
    values = {field.name: getattr(source, field.name) for field in dataclasses.fields(source)}
    values["problems"] = pd.DataFrame([dataclasses.astuple(problem) for problem in source.problems], columns=FIELDS).astype(_problem_dtypes())
    frames = {name: value for name, value in values.items() if isinstance(value, pd.DataFrame)}
    for name, frame in frames.items():
        buffer = io.BytesIO()
        pq.write_table(_coded(to_arrow(frame)), buffer)
        (folder / f"{place}.{name}.parquet").write_bytes(buffer.getvalue())
    plain = {name: value.isoformat() if isinstance(value, dt.date) else value for name, value in values.items() if name not in frames}
    return {"place": place, "plain": plain, "dtypes": {name: dtypes_of(frame) for name, frame in frames.items()}}


def _coded(table: pa.Table) -> pa.Table:
    """Texts that repeat themselves as dictionaries, which whoever takes the partition up need not make again."""
    return pa.table({name: _dictionary(table[name]) if pa.types.is_string(table[name].type) else table[name] for name in table.column_names})


def _dictionary(texts: pa.ChunkedArray) -> pa.ChunkedArray:
    coded = texts.combine_chunks().dictionary_encode()
    return coded if 2 * len(coded.dictionary) <= len(coded) else texts


def _load(kept: dict[str, Any], folder: Path) -> SourceFile:
    files = {name: folder / f"{kept['place']}.{name}.parquet" for name in kept["dtypes"]}
    frames = {name: to_pandas(_table(files[name]), dtypes, carried=name in LONG) for name, dtypes in kept["dtypes"].items()}
    plain = dict(kept["plain"])
    for name in ("covers_from", "covers_to"):
        plain[name] = plain[name] and dt.date.fromisoformat(plain[name])
    problems = tuple(Problem(**row) for row in rows_of(frames.pop("problems")))
    return SourceFile(**plain | frames | {"corrects": tuple(plain["corrects"]), "problems": problems})


def _table(path: Path) -> Any:
    return pq.read_table(path, memory_map=False)


def _problem_dtypes() -> dict[str, str]:
    return {name: "Int64" if name == "row" else "string" for name in FIELDS}


def _digests(folder: Path) -> dict[str, str]:
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(folder.glob("*.parquet"))}


def _sealed(content: dict[str, Any]) -> str:
    """JSON with the sha256 of its own content, so that a damaged manifest is seen too."""
    text = json.dumps(content)
    return json.dumps({"sha256": hashlib.sha256(text.encode()).hexdigest(), "content": text})


def _manifest(folder: Path) -> dict[str, Any] | None:
    try:
        sealed = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        whole = hashlib.sha256(sealed["content"].encode()).hexdigest() == sealed["sha256"]
        return json.loads(sealed["content"]) if whole else None
    except (OSError, ValueError, KeyError, TypeError):
        return None
