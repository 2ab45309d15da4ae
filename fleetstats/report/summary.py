"""Five or six lines of answers for the end of a run."""

from __future__ import annotations

from collections.abc import Sequence

from fleetstats.figures.words import count, ends, money_with_interval, percent, with_interval, years
from fleetstats.report.prose import units_of, words_of_tests
from fleetstats.report.quarterly import CANNOT_SAY, OpenVisit, Quarterly


def summary_lines(quarterly: Quarterly) -> list[tuple[str, str]]:
    """What was asked and what the records answer, as pairs of words; the same numbers as on the page."""
    return [("Records", _records(quarterly)), *_condemned(quarterly), *_lives(quarterly), *_coming(quarterly), *_doubt(quarterly), *_first(quarterly)]


def _records(quarterly: Quarterly) -> str:
    counts, files = quarterly.counts, quarterly.files
    span = f", {quarterly.period[0]} to {quarterly.period[1]}" if quarterly.period else ""
    late = f"; {_number(len(quarterly.incomplete), 'shop')} not covered to the end" if quarterly.incomplete else ""
    return f"{counts.get('vehicles', 0):,.0f} vehicles, {counts.get('visits', 0):,.0f} refrigerator visits from {_number(len(files), 'file')}{span}{late}"


def _number(n: int, noun: str) -> str:
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


def _condemned(quarterly: Quarterly) -> list[tuple[str, str]]:
    audit, senders = quarterly.audit, quarterly.senders
    if audit is None:
        if senders is None or senders.corrected is None:
            return []
        said = f"{senders.cores}, of which {senders.tested} tested; {with_interval(senders.corrected, percent)} of them healthy"
        return [("Cores at the bench", said)]
    lines = [("Condemned units", f"{audit.condemned}, of which {words_of_tests(audit)}")]
    share = audit.needless_share.corrected
    if share is None:
        bounds = audit.needless_share.bounds
        return [*lines, ("Needless among them", f"cannot say; too few bench tests ({percent(bounds.lower)} to {percent(bounds.upper)} is possible)")]
    benching = audit.condemned - audit.condemned_never_benched
    return [*lines, ("Needless among them", f"{with_interval(share, percent)}, {units_of(share, benching)} of {benching} units at shops that bench")]


def _lives(quarterly: Quarterly) -> list[tuple[str, str]]:
    lives = quarterly.lives
    if lives is None:
        return []
    corrected, recorded = lives.population("new", "corrected"), lives.population("new", "as_recorded")
    if corrected is None:
        return []
    text = f"one in ten has failed by {with_interval(corrected.b10_years, years)}"
    if recorded is not None and recorded.b10_years.estimate is not None:
        text += f"; taken as recorded it would look like {recorded.b10_years.estimate:.1f}"
    return [("Life of a new unit", text)]


def _coming(quarterly: Quarterly) -> list[tuple[str, str]]:
    coming = quarterly.next_year
    if coming is None:
        return []
    text = f"{ends(coming.total_failures, count)} units will truly fail, {ends(coming.total_needless, count)} would be condemned healthy"
    if coming.total_cost is not None:
        text += f"; {money_with_interval(coming.total_cost, coming.price_basis)}"
    return [("Next four quarters", text)]


def _doubt(quarterly: Quarterly) -> list[tuple[str, str]]:
    silent = [answer for answer in quarterly.answers if answer.state == CANNOT_SAY]
    if not silent:
        return []
    more = f" (and {_number(len(silent) - 1, 'more question')}, see the report)" if len(silent) > 1 else ""
    return [("Cannot say", f"{silent[0].question} {silent[0].because} {silent[0].smallest_change}{more}")]


def _first(quarterly: Quarterly) -> list[tuple[str, str]]:
    off = quarterly.off_hire
    if not off:
        return []
    named = ", ".join(dict.fromkeys(visit.vehicle_id or visit.visit_id for visit in off))
    return [("Do first", f"{_number(len(off), 'open visit')} with a finding that closes the safety gate: off hire ({named}){_taken(off)}")]


def _taken(off: Sequence[OpenVisit]) -> str:
    """How many of the visits nobody called open."""
    inferred = sum(visit.inferred for visit in off)
    counted = "" if inferred == len(off) else f"{inferred} of them "
    return f"; {counted}taken as open: neither a state nor a release is recorded" if inferred else ""
