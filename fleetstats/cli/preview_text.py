"""The first rows of a file as text, before and after a profile."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fleetstats.cli.text import table
from fleetstats.settings import Project
from fleetstats.sources import FilePreview
from fleetstats.sources.preview import KEPT, Row


def preview_text(file: FilePreview) -> str:
    """A block for each row: what stood in the file, what it becomes, and why something was left empty or inferred; then what is wrong with the whole file."""
    fates = ", ".join(f"{count:,} {fate}" for fate, count in file.fates.items())
    blocks = [f"{file.file}: {file.rows_read:,} rows read: {fates}.", *(_row_text(row) for row in file.rows)]
    whole = [str(problem) for problem in file.problems if problem.row is None]
    if whole:
        blocks.append("Of the file as a whole:\n" + "\n".join(f"- {text}" for text in whole))
    if file.further_problems:
        blocks.append(f"Refused in the rows below: {file.further_problems:,} further {'cell or row' if file.further_problems == 1 else 'cells or rows'}.")
    return "\n\n".join(blocks)


def unfinished_text(left: tuple[str, ...], profile: Path, project: Project) -> str:
    """What the profile leaves open, and the command that comes next."""
    here = profile.resolve().is_relative_to(project.profiles.resolve())
    move = "" if here else f"Put the profile into {project.profiles.name}/, then: "
    following = f"{move}fleetstats import --project {project.folder}"
    if not left:
        return f"Nothing is left open in {profile.name}. Next: {following}"
    lines = "\n".join(f"- {text}" for text in left)
    return f"Left open in {profile.name}:\n{lines}\nMend these and run this command again, or leave them so. Next: {following}"


def _row_text(row: Row) -> str:
    place = f"sheet '{row.sheet}', row {row.row}" if row.sheet else f"row {row.row}"
    head = f"{place}: {row.fate}{f' ({row.reason})' if row.reason else ''}"
    return f"{head}\n{table(['heading', 'in the file', 'becomes', 'column', 'why'], _lines(row))}"


def _lines(row: Row) -> Iterator[list[str | None]]:
    for cell in row.cells:
        if cell.before is not None or cell.after is not None:
            yield [cell.heading, cell.before, cell.after if cell.after is not None else "(nothing)" if row.fate == KEPT else None, cell.column, cell.why]
    yield from (["", "(from the texts)", text, name, None] for name, text in row.from_texts.items())
