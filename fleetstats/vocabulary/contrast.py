"""Things compared in one breath: 'works on gas, not on mains', 'freezer hard, milk warm'. Which is well, which is not, and the code that this makes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

from fleetstats.vocabulary.entries import Contrast
from fleetstats.vocabulary.sequence import Unit
from fleetstats.vocabulary.trie import Trie

SUBJECT, WELL, UNWELL, DENYING, FIGURE, BUT, ONLY, BETWEEN = "subject", "well", "unwell", "denying", "figure", "but", "only", "between"
STATES = (WELL, UNWELL, DENYING, FIGURE)


class Mark(NamedTuple):
    """What units first..end are in a comparison; the subject's name; the clause they stand in."""

    role: str
    name: str
    first: int
    end: int
    clause: tuple[int, int]


class Comparison(NamedTuple):
    """A comparison at units start..end: the code that it makes, None where it makes none, and the subjects said to be well."""

    start: int
    end: int
    code: str | None
    well: frozenset[str]


Clause = list[Mark]
States = dict[str, str]
"""Subject -> WELL, UNWELL, or how that is left open: DENYING, FIGURE."""


class Comparer:
    """Finds comparisons of one kind, such as between the sources of energy."""

    def __init__(self, contrast: Contrast, phrase: Callable[[str], tuple[str, ...]]) -> None:
        """phrase: the units of a phrase of the vocabulary."""
        self.excluded = contrast.excluded
        self._verdicts = contrast.verdicts
        self._roles: Trie[tuple[str, str]] = Trie()
        roles = {BETWEEN: contrast.between, BUT: contrast.but, ONLY: contrast.only, FIGURE: contrast.figures, DENYING: contrast.denying,
                 WELL: contrast.well, UNWELL: contrast.unwell}
        every = [(words, (role, "")) for role, phrases in roles.items() for words in phrases]
        every += [(words, (SUBJECT, name)) for name, phrases in contrast.subjects.items() for words in phrases]
        for words, role in every:
            self._roles.add(phrase(words), role)

    def comparisons(self, units: Sequence[Unit]) -> Iterable[Comparison]:
        """Every comparison among the units; none runs over the end of a sentence or over a word that has no part in it."""
        forms = [unit.form for unit in units]
        for run in self._runs(units, forms):
            clauses = _clauses(run, units)
            states = _states(clauses)
            if states:
                marks = [mark for clause in clauses for mark in clause]
                well = frozenset(name for name, state in states.items() if state == WELL)
                yield Comparison(marks[0].first, marks[-1].end, self._code(states, run), well)

    def _runs(self, units: Sequence[Unit], forms: Sequence[str]) -> Iterable[list[Mark]]:
        run: list[Mark] = []
        place, buts = 0, 0
        while place < len(units):
            stop = next((end for end in range(place, len(units)) if units[end].sentence != units[place].sentence), len(units))
            found = self._roles.longest(forms, place, stop)
            if run and (found is None or units[run[-1].first].sentence != units[place].sentence):
                yield run
                run, buts = [], 0
            if found is None:
                place += 1
                continue
            end, (role, name) = found
            buts += role == BUT
            run.append(Mark(role, name, place, end, (units[place].part, buts)))
            place = end
        if run:
            yield run

    def _code(self, states: States, run: list[Mark]) -> str | None:
        only = any(mark.role == ONLY for mark in run) and len(states) == 1
        well = {name for name, state in states.items() if state == WELL}
        unwell = {name for name, state in states.items() if state == UNWELL}
        for verdict in self._verdicts:
            if verdict.only is not None:
                fits = only and well == {verdict.only}
            else:
                fits = unwell.issuperset(verdict.unwell) and well.issuperset(verdict.well) and well.isdisjoint(verdict.unless)
            if fits:
                return verdict.code
        return None


def _clauses(run: list[Mark], units: Sequence[Unit]) -> list[Clause]:
    """The clauses that say something: one that only names subjects goes with the clause that tells their state, one without a subject is left out."""
    clauses = [[mark for mark in marks if mark.role in (SUBJECT, *STATES)] for _, marks in groupby(run, key=lambda mark: mark.clause)]
    clauses = [clause for clause in clauses if clause]
    joined: list[Clause] = []
    while clauses:
        clause = clauses.pop(0)
        if _has(clause, STATES):
            joined.append(clause)
        elif not _closed(clause, units):
            continue
        elif clauses and (not joined or not _has(clauses[0], (SUBJECT,))):
            clauses[0] = clause + clauses[0]
        elif joined:
            joined[-1] = joined[-1] + clause
    return [clause for clause in joined if _has(clause, (SUBJECT,))]


def _has(clause: Clause, roles: tuple[str, ...]) -> bool:
    return any(mark.role in roles for mark in clause)


def _closed(clause: Clause, units: Sequence[Unit]) -> bool:
    """'not cooling, gas bottle empty' does not speak of gas as a source: a clause that only names subjects has no other words."""
    first, end = clause[0].first, clause[-1].end
    return (first == 0 or units[first - 1].part != units[first].part) and (end == len(units) or units[end].part != units[end - 1].part)


def _states(clauses: list[Clause]) -> States | None:
    """State of every subject; None where the words contradict each other. A bare denial or a figure tells something only beside a state that is said."""
    states: States = {}
    for clause in clauses:
        bound = _bound(clause)
        if bound is None or any(states.get(name, state) != state for name, state in bound.items()):
            return None
        states |= bound
    said = set(states.values())
    contrasts = len({clause[0].clause[1] for clause in clauses}) > 1
    settled = {DENYING: UNWELL if WELL in said else None, FIGURE: None}
    if contrasts and len(said - {FIGURE}) == 1:
        settled[FIGURE] = WELL if UNWELL in said else UNWELL
    return {name: known for name, state in states.items() if (known := settled.get(state, state))}


def _bound(clause: Clause) -> States | None:
    """State of every subject of one clause: 'gas ok mains dead', 'ok on gas not on mains', 'mains and gas dead'."""
    tokens = _tokens(clause)
    told = {state for state, _ in tokens if state}
    if len(told) == 1:
        return dict.fromkeys((name for _, names in tokens for name in names), told.pop())
    bound: States = {}
    waiting, unsaid = "", False
    named: tuple[str, ...] = ()
    for state, names in tokens:
        if names:
            bound |= dict.fromkeys(names, waiting) if waiting else {}
            waiting, named, unsaid = "", names, not waiting
        elif named and unsaid:
            bound |= dict.fromkeys(named, state)
            unsaid = False
        elif waiting:
            return None
        else:
            waiting = state
    return _left_over(bound, waiting, named)


def _left_over(bound: States, waiting: str, named: tuple[str, ...]) -> States | None:
    """The last state, when no subject follows it, is that of the last of two named, or a denial at the end ('kühlt auf Gas nicht')."""
    if not waiting:
        return bound
    if len(named) == 2:
        return bound | {named[1]: waiting}
    return {named[0]: UNWELL} if waiting == DENYING and list(bound.values()) == [WELL] and len(named) == 1 else None


def _tokens(clause: Clause) -> list[tuple[str, tuple[str, ...]]]:
    """The clause as states (with no names) and groups of subjects (with no state); 'not working' is one state."""
    tokens: list[tuple[str, tuple[str, ...]]] = []
    for mark in clause:
        state, names = tokens[-1] if tokens else ("", ())
        if mark.role == SUBJECT and names:
            tokens[-1] = ("", (*names, mark.name))
        elif mark.role == SUBJECT:
            tokens.append(("", (mark.name,)))
        elif state == DENYING and mark.role == WELL:
            tokens[-1] = (UNWELL, ())
        elif state != mark.role:
            tokens.append((mark.role, ()))
    return tokens
