"""The first screen: one short paragraph for each reader, every sentence with the section it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from fleetstats.diagnosis import RemovalAudit, ShareIf
from fleetstats.figures.words import count, ends, money_with_interval, percent, refused, with_interval, years
from fleetstats.life import LifeEstimates, LifePopulation
from fleetstats.records import lost_cells
from fleetstats.report.quarterly import CANNOT_SAY, Quarterly
from fleetstats.results import Estimate

LISTED_QUESTIONS = 3
"""Questions without an answer that the first screen names; section 1 has all of them."""


@dataclass(frozen=True)
class Sentence:
    """A sentence of the first screen and the id of the section that bears it out."""

    text: str
    section: str


def paragraphs(quarterly: Quarterly) -> dict[str, list[Sentence]]:
    """Reader -> sentences, for the fleet manager, the shop owner and the analyst."""
    return {
        "For the fleet manager": [*_lives(quarterly), *_next_year(quarterly)],
        "For the shop owner": _audit(quarterly),
        "For the analyst": _data(quarterly),
    }


def population_cautions(lives: LifeEstimates) -> list[tuple[str, str]]:
    """Each caution of a population once, behind the populations it holds for: ('new, as recorded; reconditioned, as recorded', text)."""
    said: dict[str, list[str]] = {}
    for population in lives.populations:
        for text in population.cautions:
            said.setdefault(text, []).append(f"{population.origin}, {population.basis.replace('_', ' ')}")
    return [("; ".join(who), text) for text, who in said.items()]


def sensitivities(audit: RemovalAudit) -> tuple[ShareIf, ...]:
    """The headline share under every other assumption; the assumption it was made with is not repeated, nor a share that was assumed itself."""
    rows = (*audit.by_bench_accuracy, *audit.by_prior, *audit.by_odds_tested)
    return tuple(row for row in rows if row.share != audit.needless_share.corrected)


def units_of(share: Estimate, number: int) -> str:
    """A share with interval as counts of `number` units: '28 to 45'."""
    low, high = (share.lower or 0.0) * number, (1.0 if share.upper is None else share.upper) * number
    return f"{count(low)} to {count(high)}"


def _lives(quarterly: Quarterly) -> list[Sentence]:
    lives = quarterly.lives
    if lives is None or not lives.populations:
        rate = None if lives is None else lives.failure_rate
        if rate is None:
            return [Sentence("How long a cooling unit lasts here cannot be said from these records.", "answers")]
        return [Sentence(f"There are too few failures for a life; what can be said is a rate, {with_interval(rate, _rate)} per unit and year.", "lives")]
    return [Sentence(text, "lives") for origin in ("new", "reconditioned") if (text := _life(quarterly, origin))]


def _life(quarterly: Quarterly, origin: str) -> str:
    assert quarterly.lives is not None
    corrected, recorded = quarterly.lives.population(origin, "corrected"), quarterly.lives.population(origin, "as_recorded")
    if corrected is None:
        return ""
    text = f"Of {origin} cooling units one in ten has failed {_by(corrected)}"
    if recorded is not None and recorded.b10_years.estimate is not None:
        read = "as recorded" if origin == "reconditioned" else "read from the records as they stand, every condemned unit counted as failed, it would be"
        text += f"; {read} {years(recorded.b10_years.estimate)}"
    return f"{text}."


def _by(population: LifePopulation) -> str:
    b10 = population.b10_years
    if b10.estimate is not None:
        return f"by {with_interval(b10, years)}"
    if b10.lower is None or b10.upper is None:
        return f"at {with_interval(b10, years)}"
    return f"somewhere between {years(b10.lower)} and {years(b10.upper)} (the ends are too far apart to name one age)"


def _rate(value: float) -> str:
    return f"{value:.3g}"


def _next_year(quarterly: Quarterly) -> list[Sentence]:
    coming = quarterly.next_year
    if coming is None:
        return [Sentence("What the next four quarters will need cannot be said yet.", "answers")]
    text = (f"Over the next four quarters {ends(coming.total_failures, count)} of the {coming.units:,} units in service will truly fail"
            f" and {ends(coming.total_needless, count)} healthy ones would be condemned")
    money = f", together {money_with_interval(coming.total_cost, coming.price_basis)}" if coming.total_cost else ""
    return [Sentence(f"{text}{money}.", "next-year")]


def _audit(quarterly: Quarterly) -> list[Sentence]:
    audit = quarterly.audit
    if audit is None:
        return [_senders(quarterly)]
    first = f"Of {audit.condemned} units condemned in these records, {words_of_tests(audit)}."
    if not audit.anchored:
        bounds = audit.needless_share.bounds
        more = (f"That is too few verdicts for an estimate: what they allow is anything from {percent(bounds.lower)} to {percent(bounds.upper)} healthy.")
        return [Sentence(first, "audit"), Sentence(more, "audit")]
    return [Sentence(first, "audit"), *_corrected(audit), *_shops(audit)]


def words_of_tests(audit: RemovalAudit) -> str:
    """How many of the condemned units were tested, and how many of those ran, in words."""
    if not audit.tested:
        return "none was tested on a bench"
    return f"{audit.tested} {'was' if audit.tested == 1 else 'were'} tested on a bench and {audit.no_fault or 'none'} of those ran"


def _corrected(audit: RemovalAudit) -> list[Sentence]:
    share = audit.needless_share.corrected
    if share is None:
        return []
    benching = audit.condemned - audit.condemned_never_benched
    said = [Sentence(
        "Units that were tested are no random draw, and a bench errs too; allowing for both, "
        f"{with_interval(share, percent)} of the {benching} condemned by shops that bench were healthy, that is {units_of(share, benching)} units.", "audit")]
    worse = next((row for row in audit.by_bench_accuracy if row.value == 0.90), None)
    if worse is not None:
        said.append(Sentence(f"If a bench were right in only nine of ten cases it would be {with_interval(worse.share, percent)}.", "audit"))
    return said


def _shops(audit: RemovalAudit) -> list[Sentence]:
    if audit.funnel is None:
        return []
    outside = [f"{p.shop} ({p.no_fault} of {p.tested} tested, chance alone puts it between {percent(p.limit_lower)} and {percent(p.limit_upper)})"
               for p in audit.funnel.points if p.place != "within"]
    if not outside:
        return [Sentence("No shop lies outside what chance allows.", "shops")]
    return [Sentence(f"Outside what chance allows: {'; '.join(outside)}; who sends what where can do that too.", "shops")]


def _senders(quarterly: Quarterly) -> Sentence:
    senders = quarterly.senders
    if senders is None:
        return Sentence("No condemned unit and no bench test stands in these records; the share of needless removals cannot be said.", "answers")
    first = f"Of {senders.cores} cores sent to this bench, {senders.tested} were tested and {senders.no_fault} of those ran"
    if senders.corrected is None:
        return Sentence(f"{first}; too few for an estimate ({percent(senders.bounds.lower)} to {percent(senders.bounds.upper)} is possible).", "senders")
    healthy = with_interval(senders.corrected, percent)
    return Sentence(f"{first}; corrected for the bench's own error {healthy} of them were healthy. Units never sent are not in it.", "senders")


def _data(quarterly: Quarterly) -> list[Sentence]:
    files = quarterly.files
    rows, lost = int(files["rows_read"].sum()), refused(int(files["rejected"].sum()), lost_cells(quarterly.rejects))
    read = "1 file was" if len(files) == 1 else f"{len(files)} files were"
    said = [Sentence(f"{read} read, {rows:,} rows; every row is accounted for, {lost}.", "data")]
    if quarterly.incomplete:
        late = ", ".join(f"{shop} to {day}" for shop, day in sorted(quarterly.incomplete.items()))
        said.append(Sentence(f"Records that end before {quarterly.as_of}: {late}.", "spend"))
    open_questions = [answer.question for answer in quarterly.answers if answer.state == CANNOT_SAY]
    if open_questions:
        more = len(open_questions) - LISTED_QUESTIONS
        said.append(Sentence(f"These data cannot say: {' '.join(open_questions[:LISTED_QUESTIONS])}{f' And {more} more.' if more > 0 else ''}", "answers"))
    said.append(Sentence(f"All intervals hold {100 * quarterly.level:g} % on both sides together; draws with seed {quarterly.seed}.", "methods"))
    return said
