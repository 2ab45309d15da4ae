"""Every file of a project's raw/ read, each by the profile that names it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from functools import lru_cache
from pathlib import Path

import pandas as pd

from fleetstats.errors import InputRefused, Problem, of_each
from fleetstats.settings import Project
from fleetstats.sources.canonical import KINDS, own_profiles
from fleetstats.sources.columns import shown
from fleetstats.sources.compressed import SUFFIXES, inner_name, unpacked
from fleetstats.sources.limits import refuse_too_large
from fleetstats.sources.masking import pseudonym_key
from fleetstats.sources.money_columns import tax_taken_off
from fleetstats.sources.postgresql import server_sheet
from fleetstats.sources.profile import Profile, load_profiles
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.readers import read_bytes, read_sheets
from fleetstats.sources.source_file import SourceFile
from fleetstats.sources.typed import KNOWN_WHEN, missing_headings, typed_sheet
from fleetstats.sources.unknown import UNKNOWN_COLUMNS, joined_unknown
from fleetstats.vocabulary import Vocabulary, load_vocabulary

LARGEST_TRIED = 20_000_000
"""Bytes of a file that no profile names, up to which the headings of every profile are looked for in it."""


@dataclass(frozen=True, kw_only=True)
class ReadTask:
    """One file of raw/ and everything its rows depend on; small, so that it can be sent to another process.

    path: where it lies; of what a server sends, the profile that asks it. file: name within raw/, or of what the server sends. sha256: of its bytes
    when the task was made. source: profile that reads it, or the file's stem. profile: None where no profile claims the file, so that its headings
    must be our own; others: the profiles that might have claimed it, by name, for what is said where they are not. words: taught words, with the
    sha256 of their text. key: of the pseudonyms.
    """

    path: Path
    file: str
    sha256: str
    source: str
    profile: Profile | None = field(repr=False)
    words: Path | None
    words_sha256: str
    key: bytes = field(repr=False)
    others: Mapping[str, Profile] = field(default_factory=dict, repr=False, hash=False)


def read_sources(project: Project) -> list[SourceFile]:
    """Every file in raw/, in order of name; a workbook that fills several tables gives one SourceFile for each.

    Raises InputRefused for files that cannot be read, that no profile fits and whose headings are not canonical, or that two profiles claim; with all of them.
    """
    return [source for sources in of_each(read_tasks(project), read_one) for source in sources]


def read_tasks(project: Project, digests: Mapping[str, str] | None = None) -> list[ReadTask]:
    """One task for each file in raw/, in order of name; no row is read.

    digests: file -> sha256, where they are known already; a file that came after them is left for the next import.
    Raises InputRefused for files or profiles that do not add up.
    """
    profiles, key = load_profiles(project.profiles), pseudonym_key(project.key)
    words = project.words if project.words.is_file() else None
    taught = file_sha256(words) if words else ""
    asked = server_profiles(profiles)
    paths = {path.relative_to(project.raw).as_posix(): path for path in raw_files(project.raw, needed=not asked)}
    paths |= {file: project.profiles / f"{name}.toml" for file, name in asked.items()}
    known = digests if digests is not None else raw_fingerprints(project)

    def task(file: str) -> ReadTask:
        source, profile = (asked[file], profiles[asked[file]]) if file in asked else _claimed(file, profiles)
        return ReadTask(path=paths[file], file=file, sha256=known[file], source=source, profile=profile, words=words, words_sha256=taught, key=key,
                        others=profiles if profile is None else {})
    return of_each(sorted(paths.keys() & known.keys()), task)


def read_one(task: ReadTask) -> list[SourceFile]:
    """The typed rows of one file: a function of the task and of nothing else.

    Raises InputRefused for a file that cannot be read, or was written over since the task was made.
    """
    vocabulary = _vocabulary(task.words, task.words_sha256)
    if task.profile is not None and task.profile.format.kind == "postgresql":
        sheet, sha256 = server_sheet(task.profile, task.source)
        _refuse_changed(sha256, task)
        return [_source_file(task.profile, [sheet], task, vocabulary)]
    packed = read_bytes(task.path)
    _refuse_changed(hashlib.sha256(packed).hexdigest(), task)
    data = unpacked(packed, task.file)
    profiles = _own_profiles(data, inner_name(task.file, packed), task) if task.profile is None else [task.profile]
    return [_source_file(profile, read_sheets(data, task.file, profile.format), task, vocabulary) for profile in profiles]


def _own_profiles(data: bytes, inner: str, task: ReadTask) -> list[Profile]:
    """As `own_profiles`; where it refuses a file whose headings are those of a profile that names others, that is said."""
    try:
        return own_profiles(data, task.file, inner)
    except InputRefused:
        fitting = [name for name, profile in task.others.items() if len(data) <= LARGEST_TRIED and _has_headings(data, inner, task.file, profile)]
        if not fitting:
            raise
        others = " and ".join(f"{name}.toml, whose files = {json.dumps(task.others[name].files, ensure_ascii=False)}" for name in fitting)
        raise InputRefused(Problem(what=f"no profile names this file; its headings fit {others}", file=task.file,
                                   remedy=f'If it is one of these, add "{task.file}" to files = [...] there, or rename it.')) from None


def _has_headings(data: bytes, inner: str, file: str, profile: Profile) -> bool:
    """Whether a sheet of the file has every heading of a profile."""
    kind = KINDS.get(Path(inner).suffix.lower(), "csv")
    if profile.format.kind != kind and (profile.format.kind, kind) != ("fixed", "csv"):
        return False
    try:
        return any(sheet.headings and not missing_headings(sheet, profile) for sheet in read_sheets(data, file, profile.format))
    except InputRefused:
        return False


def _refuse_changed(sha256: str, task: ReadTask) -> None:
    if sha256 != task.sha256:
        raise InputRefused(Problem(what="it was changed while it was being read", file=task.file, remedy="Let the writing end, then import again."))


def raw_fingerprints(project: Project) -> dict[str, str]:
    """sha256 of every file in raw/, and of the rows that each server sends now, by name. Raises InputRefused as `raw_files` and `server_sheet`."""
    profiles = load_profiles(project.profiles)
    asked = server_profiles(profiles)
    found = {path.relative_to(project.raw).as_posix(): file_sha256(path) for path in raw_files(project.raw, needed=not asked)}
    return found | {file: server_sheet(profiles[name], name)[1] for file, name in asked.items()}


def server_profiles(profiles: Mapping[str, Profile]) -> dict[str, str]:
    """The profiles that ask a server: name of what it sends -> name of the profile."""
    return {f"postgresql:{name}": name for name, profile in profiles.items() if profile.format.kind == "postgresql"}


def file_sha256(path: Path) -> str:
    """sha256 of a file's bytes."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def raw_files(folder: Path, *, needed: bool = True) -> list[Path]:
    """The files of raw/ in order of name, hidden ones and those a spreadsheet program keeps while it is open left out.

    Raises InputRefused where there are none though they are needed, for all that are of a kind that is not read, and for what is no file within the folder.
    """
    found = sorted(folder.rglob("*")) if folder.is_dir() else []
    visible = [path for path in found if not path.name.startswith((".", "~$"))]
    paths = [path for path in visible if path.is_symlink() or not path.is_dir() or path.suffix.lower() in SUFFIXES]
    if not paths and needed:
        remedy = "Put the shops' files, or the filled template workbook, into raw/."
        raise InputRefused(Problem(what="there are no files to read", file=f"{folder.name}/", remedy=remedy))
    of_each(paths, lambda path: _refuse_no_file(path, folder))
    return paths


def _refuse_no_file(path: Path, folder: Path) -> None:
    """Raises InputRefused for what is no file of a known kind within the folder."""
    remedy = "Put the file itself into raw/, and take this out."
    if not path.name.isprintable():
        raise InputRefused(Problem(what=f"the name {ascii(path.name)[:80]} holds signs that cannot be seen", file=f"{folder.name}/", remedy="Rename the file."))
    if path.is_dir() and not path.is_symlink():
        raise InputRefused(Problem(what="this is a folder with the name of a file", file=path.name, remedy="Rename it, so that nobody takes it for a file."))
    if not path.is_file():
        raise InputRefused(Problem(what="this is no file: a pipe, a device, a link to a folder, or one that leads nowhere", file=path.name, remedy=remedy))
    if not path.resolve().is_relative_to(folder.resolve()):
        raise InputRefused(Problem(what="this is a link to a file outside of raw/", file=path.name, remedy=remedy))
    refuse_too_large(path.stat().st_size, path.name)
    suffix = Path(inner_name(path.name, path)).suffix
    if suffix.lower() not in SUFFIXES and not (not suffix and path.suffix.lower() == ".zip"):  # one of several files, or broken, is told when it is unpacked
        raise InputRefused(Problem(what=f"files ending in '{suffix}' are not read", file=path.name, wanted=", ".join(SUFFIXES),
                                   remedy="Save it as one of these, or take it out of raw/."))


@lru_cache(maxsize=1)
def _vocabulary(words: Path | None, sha256: str) -> Vocabulary:
    """The vocabulary with the taught words, kept for the next file; sha256: of the words, so that changed ones are read anew."""
    return load_vocabulary(words)


def _claimed(file: str, profiles: dict[str, Profile]) -> tuple[str, Profile | None]:
    claims = [name for name, profile in profiles.items() if any(fnmatchcase(file, pattern) for pattern in profile.files)]
    if len(claims) > 1:
        remedy = "Narrow files = [...] of all but one of them."
        raise InputRefused(Problem(what=f"several profiles claim this file: {', '.join(claims)}", file=file, remedy=remedy))
    return (claims[0], profiles[claims[0]]) if claims else (Path(file).stem, None)


def _source_file(profile: Profile, sheets: list[RawSheet], task: ReadTask, vocabulary: Vocabulary) -> SourceFile:
    file, source = task.file, task.source
    typed = [typed_sheet(sheet, profile, file, vocabulary, task.key) for sheet in sheets if sheet.headings]
    if not typed:
        raise InputRefused(Problem(what="no sheet holds anything", file=file, remedy="Send the workbook again, or take it out of raw/."))
    rows = _together([sheet.rows for sheet in typed])
    return SourceFile(
        file=file, sha256=task.sha256, source=source, covers_from=profile.coverage.first, covers_to=profile.coverage.last,
        tax_taken_off=tax_taken_off(profile), table=profile.table,
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
