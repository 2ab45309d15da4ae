"""Which column of ours each heading of a file may be, with what speaks for it: its likeness, and how many of its values can be read."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fleetstats.sources.codes import CODED
from fleetstats.sources.columns import Readers, fold, shown, shown_in
from fleetstats.sources.guesses import LIKE, SURE, guess_word, likenesses
from fleetstats.sources.profile import HELPER_COLUMNS, OPEN, Format
from fleetstats.sources.seen import Readable, Seen, looks_like, readable
from fleetstats.sources.vehicle_marks import MARKS
from fleetstats.tables import INPUT_TABLES

SAMPLES = 3
FEW_VALUES = 12
READ_ENOUGH = 0.5
"""Share of the values that a column must read before its heading is taken for it."""

MAPPED = tuple(name for table in INPUT_TABLES.values() for name, column in table.columns.items() if column.values)
NAME = re.compile(r"[A-ZÀ-Þ][\w'’-]+(?: [A-ZÀ-Þ][\w'’.-]*){0,2}")


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """What a heading may mean. likeness: of the heading, 0 to 1. values: what the column reads of its cells. others: further candidates.

    taken: whether the draft takes it; `looks` says what the values look like where it does not.
    """

    name: str
    likeness: float
    values: Readable
    others: tuple[str, ...]
    taken: bool
    looks: str = ""


def match_columns(columns: dict[str, Seen], table: str, layout: Format, readers: Readers, lowest: Mapping[str, str]) -> dict[str, Candidate]:
    """The best candidate of every heading; a column that takes one heading only goes to the likest, the first where several are alike.

    lowest: what stands in the lowest row of a heading of several rows; it is tried before the whole heading.
    """
    liked = {heading: _liked([lowest.get(heading, heading), heading], table) for heading in columns}
    order = sorted(((score, heading, name) for heading, scores in liked.items() for name, score in scores.items()), key=lambda one: -one[0])
    matched: dict[str, Candidate] = {}
    given: set[str] = set()
    for score, heading, name in order:
        if heading in matched or score < SURE or (name in given and name not in HELPER_COLUMNS):
            continue
        found = readable(columns[heading], name, table, layout, readers)
        if found.read >= READ_ENOUGH * found.of or name in MAPPED or name in CODED:
            given.add(name)
            matched[heading] = Candidate(name=name, likeness=score, values=found, others=_others(liked[heading], name), taken=True)
    for heading, seen in columns.items():
        if heading not in matched:
            matched[heading] = _not_taken(seen, liked[heading], table, layout, readers)
    return {heading: matched[heading] for heading in columns}


def _liked(names: Sequence[str], table: str) -> dict[str, float]:
    """How like any of the names is to each column, the likest first; the first name goes before where two are alike."""
    scores: dict[str, float] = {}
    for name in names:
        scores |= {column: max(score, scores.get(column, 0.0)) for column, score in likenesses(name, table).items()}
    return dict(sorted(scores.items(), key=lambda one: -one[1]))


def _others(scores: dict[str, float], name: str) -> tuple[str, ...]:
    return tuple(other for other, score in scores.items() if other != name and score >= LIKE)[:2]


def _not_taken(seen: Seen, scores: dict[str, float], table: str, layout: Format, readers: Readers) -> Candidate:
    looks, name = looks_like(seen, layout, readers), next(iter(scores), "")
    found = readable(seen, name, table, layout, readers) if name else Readable(read=0, of=0)
    return Candidate(name=name, likeness=scores.get(name, 0.0), values=found, others=_others(scores, name), taken=False, looks=looks)


def column_lines(columns: dict[str, Seen], table: str, matched: dict[str, Candidate]) -> Iterator[str]:
    """[columns], a line per heading with the evidence beside it, and a [values] for each column whose words are not ours yet."""
    value_lines: list[str] = []
    for heading, seen in columns.items():
        found = matched[heading]
        samples = ", ".join(f"'{hidden(value, found.name if found.taken else None)}'" for value in list(seen.counts)[:SAMPLES])
        key = json.dumps(heading, ensure_ascii=False)
        if found.taken and found.values.of and not found.values.read and not _any_guessed(seen, found):
            yield f'# {key} = "{OPEN[1]}"        # likely {found.name}, but none of its {found.values.of:,} values is read; map its words below; e.g. {samples}'
            value_lines += (line if line.startswith("#") else line.replace("\n[", "\n# [") for line in _value_lines(seen, found, table))
        elif found.taken:
            yield f'{key} = "{found.name}"        # {_evidence(found)}; e.g. {samples}'
            value_lines += _value_lines(seen, found, table)
        else:
            yield f'# {key} = "{OPEN[1]}"        # {_open(found, seen)}; e.g. {samples}'
    yield from value_lines


def _any_guessed(seen: Seen, found: Candidate) -> bool:
    return found.name in HELPER_COLUMNS or any(guess_word(found.name, fold(value)) for value in seen.counts)


def _evidence(found: Candidate) -> str:
    alike = "heading is the usual one" if found.likeness > 0.99 else f"heading {found.likeness:.0%} alike"
    helper = "dropped" if found.name == "contact" else "kept as text" if found.name in HELPER_COLUMNS and found.name not in MARKS else ""
    read = helper or f"{found.values.read:,} of {found.values.of:,} values read"
    others = f"; or {', '.join(found.others)}" if found.others else ""
    return f"{alike}; {read}{others}"


def _open(found: Candidate, seen: Seen) -> str:
    """Why a heading is left open: what its values look like, and the nearest column, where the heading is sure or it reads some of them."""
    near = ""
    if found.values.read:
        near = f"; nearest: {found.name} ({found.likeness:.0%} alike, reads {found.values.read:,} of {found.values.of:,})"
    elif found.likeness >= SURE and found.values.of:
        near = f"; the heading is of {found.name}, which reads none of these values"
    return f"{seen.filled:,} values, {found.looks}{near}; write a column here, or take the line out"


def hidden(value: object, name: str | None) -> str:
    """A value as it may be shown beside its column; names of persons and marks of vehicles are not, nor what looks like a name in a column nobody knows."""
    sample = shown_in(value, name)
    if name in MARKS:
        return "(a mark)"
    person = name in ("technician", "contact") or (name is None and NAME.fullmatch(sample) and not sample.isupper())
    return "(a name)" if person else sample


def _value_lines(seen: Seen, found: Candidate, table: str) -> Iterator[str]:
    """[values] of a column of words or codes, with what the file says and ours does not; the commonest first."""
    column = INPUT_TABLES[table].columns.get(found.name)
    words = column.values if column else ()
    if column is None or not (words or found.name in CODED):
        return
    counts: Counter[str] = Counter()
    for value in seen.counts if words else found.values.unread:
        counts[fold(value)] += seen.counts[value]
    strange = [(value, count) for value, count in counts.most_common() if value not in words]
    if not strange:
        return
    wanted = f"one of: {', '.join(words)}" if words else "a code of `fleetstats dictionary`"
    yield f"\n[values.{found.name}]      # write here, each {wanted}"
    few = strange if found.name == "payer" else strange[:FEW_VALUES]
    for value, count in few:
        guess = guess_word(found.name, value)
        yield f'# {json.dumps(shown(value), ensure_ascii=False)} = "{guess or OPEN[1]}"   # {count:,} times{"; guessed" if guess else ""}'
    if len(strange) > len(few):
        yield f"# and {len(strange) - len(few)} rarer ones"
