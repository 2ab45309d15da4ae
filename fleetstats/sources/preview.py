"""What a profile makes of the first rows of its files: what stood there, what it becomes, what was refused and why. Nothing is stored."""

from __future__ import annotations

from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path

import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.settings import Project
from fleetstats.sources.candidates import hidden
from fleetstats.sources.columns import shown_in
from fleetstats.sources.compressed import unpacked
from fleetstats.sources.masking import pseudonym_key
from fleetstats.sources.money_columns import money_columns
from fleetstats.sources.postgresql import server_sheet
from fleetstats.sources.profile import OPEN, TEXT_COLUMNS, Profile, load_profile
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.read import ReadTask, file_sha256, raw_files, read_one
from fleetstats.sources.readers import read_bytes, read_sheets
from fleetstats.sources.source_file import SourceFile
from fleetstats.sources.text import BENCH_FIELDS, VISIT_FIELDS

KEPT = "kept"
Typed = dict[tuple[str, int], dict[str, object]]
Fates = dict[tuple[str, int], tuple[str, str]]
BECOMES = dict.fromkeys(TEXT_COLUMNS, "(words, read below)") | {"contact": "(dropped)"}
FROM_TEXTS = {"visits": VISIT_FIELDS, "bench_tests": BENCH_FIELDS}


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One cell before and after: heading in the file, column of ours, value as it stood (masked) and as it is kept, and why it is empty or was inferred."""

    heading: str
    column: str
    before: str | None
    after: str | None
    why: str | None = None


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row: where it stands, its fate so far ("kept" where it goes on to be joined with others) with the reason, its cells, and what its texts say."""

    sheet: str | None
    row: int
    fate: str
    reason: str | None
    cells: tuple[Cell, ...]
    from_texts: dict[str, str]


@dataclass(frozen=True, kw_only=True)
class FilePreview:
    """The first rows of a file, how many rows it has, what becomes of all of them, and every Problem of a file as a whole or of these rows.

    unused: headings that hold something and that the profile gives no column.
    """

    file: str
    rows_read: int
    fates: dict[str, int]
    rows: tuple[Row, ...] = field(repr=False)
    problems: tuple[Problem, ...] = field(repr=False)
    further_problems: int
    unused: tuple[str, ...] = ()


def preview(project: Project, profile: str | Path, rows: int = 10) -> list[FilePreview]:
    """The first `rows` rows of every file in the project's raw/ that a profile names, read by it alone.

    profile: path of the profile, within profiles/ or not yet. Raises InputRefused where it does not load, names no file, or does not fit a file.
    """
    path = Path(profile)
    loaded = load_profile(path)
    words = project.words if project.words.is_file() else None
    key, taught = pseudonym_key(project.key), file_sha256(words) if words else ""
    tasks = [ReadTask(path=raw, file=file, sha256=sha256, source=path.stem, profile=loaded, words=words, words_sha256=taught, key=key)
             for file, raw, sha256 in _named(project, loaded, path)]
    return [_preview(task, loaded, rows) for task in tasks]


def _named(project: Project, profile: Profile, path: Path) -> list[tuple[str, Path, str]]:
    """Name, place and sha256 of what a profile names: files, or what a server sends."""
    if profile.format.kind == "postgresql":
        return [(f"postgresql:{path.stem}", path, server_sheet(profile, path.stem)[1])]
    files = {raw.relative_to(project.raw).as_posix(): raw for raw in raw_files(project.raw)}
    named = [(file, raw, file_sha256(raw)) for file, raw in files.items() if any(fnmatchcase(file, pattern) for pattern in profile.files)]
    if not named:
        remedy = "Put the file into raw/, or mend files = [...] of the profile."
        raise InputRefused(Problem(what=f"no file of {project.raw.name}/ is called {' or '.join(profile.files)}", file=path.name, remedy=remedy))
    return named


def _sheets(task: ReadTask, profile: Profile) -> list[RawSheet]:
    if profile.format.kind == "postgresql":
        return [server_sheet(profile, task.source)[0]]
    return read_sheets(unpacked(read_bytes(task.path), task.file), task.file, profile.format)


def _preview(task: ReadTask, profile: Profile, most: int) -> FilePreview:
    source, = read_one(task)
    sheets = _sheets(task, profile)
    first = [(sheet, row) for sheet in sheets for row in sheet.cells.index[:most].tolist()][:most]
    told: dict[tuple[str | None, int], list[Problem]] = {}
    for problem in source.problems:
        if problem.row is not None:
            told.setdefault((problem.sheet, problem.row), []).append(problem)
    typed, met = _typed(source, [(sheet.sheet or "", row) for sheet, row in first]), _fates(source)
    whole = [problem for problem in source.problems if problem.row is None]
    unread = "; or: ".join(f"{problem.what}; {problem.remedy}" for problem in whole if problem.field == "price_basis")
    made = tuple(_row(sheet, row, profile, typed, met, told.get((sheet.sheet, row), []), unread) for sheet, row in first)
    of_these = [problem for sheet, row in first for problem in told.get((sheet.sheet, row), [])]
    counts = {KEPT: len(source.rows)} | {str(fate): int(count) for fate, count in source.fates["fate"].value_counts().items()}
    return FilePreview(file=task.file, rows_read=source.rows_read, fates=counts, rows=made, problems=(*whole, *of_these),
                       further_problems=len(source.problems) - len(whole) - len(of_these), unused=_unused(sheets, profile))


def _unused(sheets: list[RawSheet], profile: Profile) -> tuple[str, ...]:
    used = {" ".join(heading.split()) for heading, name in profile.columns.items() if name not in OPEN}
    used |= {" ".join(profile.money.tax_column.split())} if profile.money.tax_column else set()
    return tuple(dict.fromkeys(heading for sheet in sheets for heading in sheet.headings if heading not in used and sheet.cells[heading].notna().any()))


def _typed(source: SourceFile, wanted: list[tuple[str, int]]) -> Typed:
    """The typed rows that are wanted, by sheet and row."""
    places = pd.MultiIndex.from_arrays([source.rows["sheet"].fillna(""), source.rows["row"].astype(int)])
    few = source.rows[places.isin(wanted)]
    return {(row["sheet"] if isinstance(row["sheet"], str) else "", int(row["row"])): {str(name): value for name, value in row.items()}
            for row in few.to_dict("records")}


def _fates(source: SourceFile) -> Fates:
    fates = source.fates
    places = zip(fates["sheet"].fillna(""), fates["row"].astype(int), strict=True)
    return dict(zip(places, zip(fates["fate"], fates["reason"], strict=True), strict=True))


def _row(sheet: RawSheet, row: int, profile: Profile, typed: Typed, met: Fates, told: list[Problem], unread: str) -> Row:
    """unread: why money that was told is kept out of some rows, where it is."""
    place = (sheet.sheet or "", row)
    fate, reason = met.get(place, (KEPT, None))
    now = typed.get(place)
    inferred = _inferred(now)
    cells = []
    for heading, name in profile.columns.items():
        raw = sheet.cells.at[row, " ".join(heading.split())] if " ".join(heading.split()) in sheet.cells else None
        why = [f"{problem.what}; {problem.remedy}" for problem in told if problem.column == " ".join(heading.split())]
        if name in inferred:
            why.append(inferred[name])
        if unread and not why and name in money_columns(profile.canonical) and now is not None and pd.isna(now.get(name)):  # type: ignore[call-overload]
            why.append(unread)
        cells.append(Cell(heading=heading, column=name, before=None if raw is None or pd.isna(raw) else hidden(raw, name or None),
                          after=None if now is None else _becomes(name, raw, now), why="; ".join(why) or None))
    names = [name for name in FROM_TEXTS.get(profile.table, ()) if name not in profile.columns.values()]
    from_texts = {name: text for name in names if now is not None and (text := _said(now.get(name), name)) is not None}
    return Row(sheet=sheet.sheet, row=row, fate=fate, reason=reason, cells=tuple(cells), from_texts=from_texts)


def _becomes(name: str, raw: object, now: dict[str, object]) -> str | None:
    return BECOMES[name] if name in BECOMES and raw is not None and not pd.isna(raw) else _said(now.get(name), name)  # type: ignore[call-overload]


def _inferred(now: dict[str, object] | None) -> dict[str, str]:
    said = None if now is None else now.get("inferred")
    return {part.split(" ", 1)[0]: part for part in said.split("; ")} if isinstance(said, str) else {}


def _said(value: object, name: str) -> str | None:
    """A typed value as text; days without their time."""
    if value is None or pd.isna(value):  # type: ignore[call-overload]
        return None
    return f"{value:%Y-%m-%d}" if isinstance(value, pd.Timestamp) else shown_in(f"{value:.6g}" if isinstance(value, float) else value, name)
