"""JSON: records one to a line, or an array of them anywhere in a document; nested fields become dotted headings, lists that are named rows of their own."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.compressed import inner_name
from fleetstats.sources.encodings import decoded, find_encoding
from fleetstats.sources.masking import mask
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet, raw_sheet_of_rows, without_halves

MOST_BRACKETS, MOST_COMMAS = 2_000_000, 10_000_000
"""Lists, objects and values of a document; all of it is held at once. Records one to a line have no such limit."""

DEEPEST = 24
"""Levels of fields within fields that a record may have."""

BROKEN_LINES = 20
"""Lines that are looked at to tell lines from a document, and faults that are told of a file without one good line."""

LONGEST_NAME = 400
"""Signs of a field's name that are told."""

LINES = (".jsonl", ".ndjson")


def read_json(data: bytes, file: str, layout: Format) -> list[RawSheet]:
    """The one sheet of a file of JSON lines, or of a document that holds an array of objects.

    layout.records names the array ("orders"), and a list within its records for which each row is wanted ("orders.items"): the record's own fields are
    repeated. Of JSON lines the line is the record, so only the list within is named ("items"). Row: the line, or the number of the record from 1.
    A line that is no JSON makes a doubtful row, which is refused; the others are kept.
    Raises InputRefused for a wrong encoding, a document or a whole file of lines that is no JSON, and an array that is not where it should be.
    """
    found = find_encoding(data, file, layout.encoding)
    text = decoded(data, file, found, layout.encoding)
    source = _Lines(text, file) if is_json_lines(text, file) else _document(text, file, layout.records)
    path = [part for part in layout.records.split(".") if part] if isinstance(source, _Lines) else source.within
    table = _Table(file=file, path=path, by_line=isinstance(source, _Lines))
    for _, row in table.rows(source):
        table.headings.update(dict.fromkeys(row))
    headings = list(table.headings)
    if not headings:
        raise InputRefused(table.doubtful[:BROKEN_LINES] or [
            Problem(what="there are no records with fields", file=file, remedy="Export it again, or mend records under [format].")])
    rows = ((number, [row.get(heading) for heading in headings]) for number, row in table.rows(source))
    notes = [*([found.told] if found.told else []), *table.left_out.values()]
    headed = layout.model_copy(update={"header_row": 0})
    return [raw_sheet_of_rows(_with_headings(headings, rows), sheet=None, file=file, layout=headed, doubtful=table.doubtful, notes=notes)]


def is_json_lines(text: str, file: str) -> bool:
    """Whether the first line that holds something is an object of its own and others follow; where the file's name says lines, whether any of the first is
    one. One object alone is a document, unless the name says lines; so is an array that goes on below its first line."""
    first = list(islice((line for line in _line_starts(text) if line), BROKEN_LINES))
    if not first or (first[0].startswith("[") and not first[0].endswith("]")):
        return False
    named = inner_name(file).lower().endswith(LINES)
    return any(map(_is_object, first)) if named else len(first) > 1 and _is_object(first[0])


def _is_object(line: str) -> bool:
    """Whether a line is by itself an object; what does not begin like one, such as a whole document on a line, is not decoded to see."""
    try:
        return line.startswith("{") and isinstance(json.loads(line), dict)
    except (ValueError, RecursionError):
        return False


def _line_starts(text: str) -> Iterator[str]:
    place = 0
    while place < len(text):
        end = text.find("\n", place)
        end = len(text) if end < 0 else end
        yield text[place:end].strip()
        place = end + 1


def _with_headings(headings: list[str], rows: Iterator[tuple[int, list[object]]]) -> Iterator[tuple[int, Sequence[object]]]:
    yield 0, headings
    yield from rows


class _Object(dict[str, Any]):
    """An object that has a key twice; `twice` is the first of these."""

    twice = ""


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) == len(pairs):
        return made
    keys = [key for key, _ in pairs]
    doubled = _Object(pairs)
    doubled.twice = next(key for place, key in enumerate(keys) if key in keys[:place])
    return doubled


def _float(digits: str) -> float | str:
    """A number as it is; as its text where it is too large to be one."""
    value = float(digits)
    return value if math.isfinite(value) else digits


DECODER = json.JSONDecoder(object_pairs_hook=_object, parse_float=_float, parse_constant=str)


def _decode(text: str) -> Any:
    """A text as JSON. Raises ValueError, saying what is wrong."""
    try:
        return DECODER.decode(text)
    except RecursionError:
        raise ValueError("it is nested too deeply") from None


class _Lines:
    """The records of a file of JSON lines, parsed anew each time they are asked for, so that only one is held."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file

    def __iter__(self) -> Iterator[tuple[int, Any]]:
        for number, line in enumerate(_line_starts(self.text), start=1):
            if not line:
                yield number, None
                continue
            try:
                record = _decode(line)
            except ValueError as error:
                record = _Broken(why=_why(error))
            yield number, record


@dataclass(frozen=True)
class _Broken:
    """A line that is no JSON, and why."""

    why: str


class _Records(list[tuple[int, Any]]):
    """The records of a document, numbered; `within` are the names that lead from a record to its rows."""

    within: list[str]


def _document(text: str, file: str, records: str) -> _Records:
    if text.count("{") + text.count("[") > MOST_BRACKETS or text.count(",") > MOST_COMMAS:
        raise InputRefused(Problem(what="the document holds too much to be read in one piece", file=file, wanted=f"at most {MOST_BRACKETS:,} objects and lists",
                                   remedy="Export it as JSON lines, one record to a line, or in parts."))
    try:
        node = _decode(text)
    except ValueError as error:
        row = error.lineno if isinstance(error, json.JSONDecodeError) else None
        raise InputRefused(Problem(what=_why(error), file=file, row=row, remedy="Ask the sender for a whole file, or mend the line.")) from None
    names, within = [part for part in records.split(".") if part], list[str]()
    while names and not isinstance(node, list):
        if not isinstance(node, dict) or names[0] not in node:
            raise InputRefused(_not_there(records, names[0], node, file))
        node = node[names.pop(0)]
    within = names
    if not isinstance(node, list):
        raise InputRefused(_not_there(records, "", node, file))
    held = _Records(enumerate(node, start=1))
    held.within = within
    return held


def _not_there(records: str, name: str, node: Any, file: str) -> Problem:
    """The refusal of a document that has no array where the profile says; the arrays that are there are named."""
    found = ", ".join(f'"{_name(path)}"' for path in _arrays(node, "", 0))
    what = f"there is no '{name}' where records = \"{records}\" leads" if name else "the document is no list of records"
    return Problem(what=what, file=file, wanted=f"one of {found}" if found else "a list of objects",
                   remedy='Set records = "..." under [format] of its profile to the place of the list.')


def _arrays(node: Any, path: str, depth: int) -> list[str]:
    if isinstance(node, list):
        return [path] if path and any(isinstance(item, dict) for item in node[:1]) else []
    if not isinstance(node, dict) or depth > DEEPEST:
        return []
    return [found for key, item in node.items() for found in _arrays(item, f"{path}.{key}".strip("."), depth + 1)][:12]


def _why(error: ValueError) -> str:
    if isinstance(error, json.JSONDecodeError):
        what = error.msg.removesuffix(" at").lower()  # some of its messages end in the word that leads to the place
        return f"not readable as JSON: {what} at sign {error.colno}"
    return f"not readable as JSON: {'a number has too many digits' if 'digits' in str(error) else error}"


@dataclass
class _Table:
    """Rows of records: fields flattened, lists that are named spread out.

    headings: in order of appearance. doubtful: rows whose fields cannot be told for sure. left_out: heading -> what of it was left out, once.
    """

    file: str
    path: list[str]
    by_line: bool
    headings: dict[str, None] = field(default_factory=dict)
    doubtful: list[Problem] = field(default_factory=list)
    left_out: dict[str, Problem] = field(default_factory=dict)

    def rows(self, source: Any) -> Iterator[tuple[int, dict[str, object]]]:
        """Every row with its number: that of the record, or a running one where records have rows of their own."""
        self.doubtful.clear()
        running = 0
        for number, record in source:
            for row in self._spread(record, self.path, "", number) if record is not None else [{}]:
                running += 1
                place = running if self.path else number
                if "" in row:
                    self.doubtful.append(Problem(what=str(row.pop("")), file=self.file, row=place, remedy=self._remedy(record, number)))
                yield place, row

    def _remedy(self, record: Any, number: int) -> str:
        if isinstance(record, _Broken):
            return f"The row was refused; mend line {number}, or ask the sender for a whole file if it was cut off."
        return "The row was refused; mend the record."

    def _spread(self, record: Any, path: list[str], prefix: str, number: int) -> list[dict[str, object]]:
        """The rows of a record: one, or one for each element of the list that the path names."""
        if isinstance(record, _Broken):
            return [{"": record.why}]
        if not isinstance(record, dict):
            return [{"": f"a record is no object (record {number})"}]
        inner = record.get(path[0]) if path else None
        own: dict[str, object] = {}
        self._flatten({key: item for key, item in record.items() if not path or key != path[0]}, prefix, 0, own, number)
        if isinstance(record, _Object):
            own[""] = f"the field '{_name(record.twice)}' stands twice in a record"
        if not path or inner is None or inner == []:
            return [own]
        elements = inner if isinstance(inner, list) else [inner]
        return [own | row for element in elements for row in self._spread(element, path[1:], f"{prefix}{path[0]}.", number)]

    def _flatten(self, record: dict[str, Any], prefix: str, depth: int, own: dict[str, object], number: int) -> None:
        for key, item in record.items():
            heading = f"{prefix}{key.strip() or 'value'}"
            if isinstance(item, dict) and depth < DEEPEST:
                if isinstance(item, _Object):
                    own[""] = f"the field '{_name(item.twice)}' stands twice in '{_name(heading)}'"
                self._flatten(item, f"{heading}.", depth + 1, own, number)
            elif isinstance(item, list) and not any(isinstance(part, list | dict) for part in item):
                own[heading] = ", ".join(str(_scalar(part)) for part in item if part is not None) or None
            elif isinstance(item, list | dict):
                own[heading] = None
                self.left_out.setdefault(heading, _list_left_out(heading, self.file, number if self.by_line else None))
            elif heading in own and own[heading] != item:
                own[""] = f"two fields of a record are both called '{_name(heading)}'"
            else:
                own[heading] = _scalar(item)


def _scalar(item: Any) -> object:
    """A value that can be held: whole numbers as they are, everything nested as nothing."""
    return None if isinstance(item, list | dict) else item


def _name(key: str) -> str:
    """The name of a field as it may be told: masked, on one line."""
    return mask(without_halves(" ".join(key[:LONGEST_NAME].split())))


def _list_left_out(heading: str, file: str, row: int | None) -> Problem:
    heading = _name(heading)
    return Problem(what="a list of objects, or something nested too deeply, was left out", file=file, row=row, column=heading,
                   remedy=f'If each of its elements should be a row, let records under [format] of its profile end in "{heading}".')
