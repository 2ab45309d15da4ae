"""Every file of a project's raw/ read, each by the profile that names it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.settings import Project
from fleetstats.sources.canonical import own_profiles
from fleetstats.sources.columns import shown
from fleetstats.sources.masking import pseudonym_key
from fleetstats.sources.profile import Profile, load_profiles
from fleetstats.sources.readers import RawSheet, read_bytes, read_sheets
from fleetstats.sources.source_file import SourceFile
from fleetstats.sources.typed import KNOWN_WHEN, typed_sheet
from fleetstats.sources.unknown import UNKNOWN_COLUMNS, joined_unknown
from fleetstats.vocabulary import Vocabulary, load_vocabulary

SUFFIXES = (".csv", ".tsv", ".txt", ".xlsx")


@dataclass(frozen=True, kw_only=True)
class Tools:
    """What every file is read with."""

    profiles: dict[str, Profile]
    vocabulary: Vocabulary
    key: bytes


def read_sources(project: Project, progress: Callable[[str], None] | None = None) -> list[SourceFile]:
    """Every file in raw/, in order of name; a workbook that fills several tables gives one SourceFile for each.

    progress: called with the name of each file before it is read.
    Raises InputRefused for a file that cannot be read, that no profile fits and whose headings are not canonical, or that two profiles claim.
    """
    paths = _raw_files(project.raw)
    words = project.words if project.words.is_file() else None
    tools = Tools(profiles=load_profiles(project.profiles), vocabulary=load_vocabulary(words), key=pseudonym_key(project.key))
    read: list[SourceFile] = []
    for path in paths:
        name = path.relative_to(project.raw).as_posix()
        if progress:
            progress(name)
        read += _read_file(path, name, tools)
    return read


def _raw_files(folder: Path) -> list[Path]:
    paths = sorted(path for path in folder.rglob("*") if path.is_file() and not path.name.startswith((".", "~$"))) if folder.is_dir() else []
    if not paths:
        remedy = "Put the shops' files, or the filled template workbook, into raw/."
        raise InputRefused(Problem(what="there are no files to read", file=f"{folder.name}/", remedy=remedy))
    for path in paths:
        if path.suffix.lower() not in SUFFIXES:
            raise InputRefused(Problem(what=f"files ending in '{path.suffix}' are not read", file=path.name, wanted=", ".join(SUFFIXES),
                                       remedy="Save it as one of these, or take it out of raw/."))
    return paths


def _read_file(path: Path, file: str, tools: Tools) -> list[SourceFile]:
    data = read_bytes(path)
    sha256 = hashlib.sha256(data).hexdigest()
    source, profiles = _profiles(data, file, tools)
    return [_source_file(profile, read_sheets(data, file, profile.format), file, sha256, source, tools) for profile in profiles]


def _profiles(data: bytes, file: str, tools: Tools) -> tuple[str, list[Profile]]:
    claims = [name for name, profile in tools.profiles.items() if any(fnmatchcase(file, pattern) for pattern in profile.files)]
    if len(claims) > 1:
        remedy = "Narrow files = [...] of all but one of them."
        raise InputRefused(Problem(what=f"several profiles claim this file: {', '.join(claims)}", file=file, remedy=remedy))
    if claims:
        return claims[0], [tools.profiles[claims[0]]]
    return Path(file).stem, own_profiles(data, file)


def _source_file(profile: Profile, sheets: list[RawSheet], file: str, sha256: str, source: str, tools: Tools) -> SourceFile:
    typed = [typed_sheet(sheet, profile, file, tools.vocabulary, tools.key) for sheet in sheets if sheet.headings]
    if not typed:
        raise InputRefused(Problem(what="no sheet holds anything", file=file, remedy="Send the workbook again, or take it out of raw/."))
    rows = _together([sheet.rows for sheet in typed])
    return SourceFile(
        file=file, sha256=sha256, source=source, covers_from=profile.coverage.first, covers_to=profile.coverage.last, table=profile.table,
        rows_read=sum(sheet.rows_read for sheet in typed), rows=rows,
        checks=_together([sheet.checks for sheet in typed]), fates=_together([sheet.fates for sheet in typed]),
        problems=(*_unassigned(profile, rows, file, source), *(problem for sheet in typed for problem in sheet.problems)), corrects=profile.corrections.of,
        unknown=joined_unknown(sheet.unknown for sheet in typed).assign(file=file).astype(UNKNOWN_COLUMNS),
    )


def _unassigned(profile: Profile, rows: pd.DataFrame, file: str, source: str) -> list[Problem]:
    """One Problem where a profile still leaves columns open, with what it costs."""
    count = len(profile.unassigned)
    if not count:
        return []
    dates = [name for name in KNOWN_WHEN.get(profile.table, ()) if name in rows]
    undated = f"; {int(rows[dates].isna().all(axis=1).sum())} rows have no date" if dates else ""
    return [Problem(what=f"{count} {'column' if count == 1 else 'columns'} of {source}.toml {'is' if count == 1 else 'are'} unassigned{undated}", file=file,
                    found=", ".join(shown(heading) for heading in profile.unassigned[:6]),
                    remedy="Give each a column under [columns], or take its line out of the profile.")]


def _together(frames: list[pd.DataFrame]) -> pd.DataFrame:
    filled = [frame for frame in frames if len(frame)] or frames[:1]
    return pd.concat(filled, ignore_index=True)
