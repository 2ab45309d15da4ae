"""What these data can answer: question by question answered, bounds only, or cannot say, because, and the least that would change it."""

from __future__ import annotations

from fleetstats.budget import NextYear
from fleetstats.diagnosis import RemovalAudit, SenderAudit
from fleetstats.figures.words import count, ends, money_with_interval, percent, with_interval, years
from fleetstats.life import LifeEstimates, OutsideFaultRates
from fleetstats.report.quarterly import ANSWERED, BOUNDS, CANNOT_SAY, Answer

BENCH_TEN = "Bench ten removed cores, drawn at random, and record each verdict with the vehicle or serial."
EACH_FIRST_UNIT = "the day each first unit was new, its origin and serial"


def needless(audit: RemovalAudit | None, reason: str) -> Answer:
    """How many condemned units were healthy."""
    question = "How many of the condemned units were healthy?"
    if audit is None:
        return Answer(question=question, state=CANNOT_SAY, because=reason or "No unit was condemned in these records.",
                      smallest_change="Import the visits at which units were removed.")
    share = audit.needless_share
    if share.corrected is None:
        possible = f"{percent(share.bounds.lower)} to {percent(share.bounds.upper)} of {audit.condemned} condemned units."
        return Answer(question=question, state=BOUNDS, says=possible,
                      because=f"{audit.tested} of them have a bench verdict; ten are needed.", smallest_change=BENCH_TEN)
    return Answer(question=question, state=ANSWERED, says=f"{with_interval(share.corrected, percent)}, at the shops that bench.")


def shops(audit: RemovalAudit | None) -> Answer:
    """Whether shops differ."""
    question = "Do the shops differ by more than chance?"
    if audit is None or audit.funnel is None or len(audit.funnel.points) < 2:
        return Answer(question=question, state=CANNOT_SAY, because="Fewer than two shops have units with a bench verdict.",
                      smallest_change="Bench ten cores of each of two shops, drawn at random.")
    outside = [point.shop for point in audit.funnel.points if point.place != "within"]
    says = f"Outside what chance allows: {', '.join(outside)}." if outside else "None lies outside what chance allows."
    return Answer(question=question, state=ANSWERED, says=f"{says} Section 'Shops' has each with its interval.")


def senders(audit: SenderAudit | None) -> Answer:
    """What the bench log alone says."""
    question = "Of the cores sent to the bench, how many were healthy?"
    if audit is None:
        return Answer(question=question, state=CANNOT_SAY, because="There is no bench log.", smallest_change="Import a log of one row per core received.")
    if audit.corrected is None:
        return Answer(question=question, state=BOUNDS, says=f"{percent(audit.bounds.lower)} to {percent(audit.bounds.upper)} of {audit.cores} cores.",
                      because=f"{audit.tested} definite verdicts; ten are needed.", smallest_change="Run ten more of the cores on the bench.")
    return Answer(question=question, state=ANSWERED, says=f"{with_interval(audit.corrected, percent)} of {audit.cores} cores.")


def life(lives: LifeEstimates | None, origin: str, reason: str) -> Answer:
    """How long units of this origin last."""
    question = f"How long does a {origin} cooling unit last here?"
    population = lives.population(origin, "corrected") if lives is not None else None
    if population is not None:
        b10 = population.b10_years
        if b10.estimate is not None:
            return Answer(question=question, state=ANSWERED, says=f"One in ten has failed by {with_interval(b10, years)}.")
        return Answer(question=question, state=BOUNDS, says=f"One in ten has failed at an age of {with_interval(b10, years)}.",
                      because="The ends are too far apart for a single figure.", smallest_change="More quarters of records; nothing else narrows it.")
    recorded = lives.population(origin, "as_recorded") if lives is not None else None
    if lives is not None and (lives.conditional or recorded is not None):
        because = _refusal(lives, origin) if lives.anchored else "Too few bench verdicts to tell failures from needless removals."
        return Answer(question=question, state=BOUNDS, says=_at_least(lives, origin), because=because, smallest_change=_for_a_life(lives))
    return Answer(question=question, state=CANNOT_SAY, because=reason or _refusal(lives, origin), smallest_change=_for_a_life(lives))


def _for_a_life(lives: LifeEstimates | None) -> str:
    """What is missing first: verdicts, ages, or simply failures."""
    ages = "" if lives is None or lives.unplaced < 10 else f"The age of {lives.unplaced} units: a vehicle register with {EACH_FIRST_UNIT}."
    if lives is not None and not lives.anchored:
        return f"{ages} {BENCH_TEN}" if ages and not lives.populations else BENCH_TEN
    if ages:
        return ages
    return "More vehicles or earlier years of records: about ten failures of units whose age is known are needed."


def _at_least(lives: LifeEstimates, origin: str) -> str:
    ifs = [p for p in lives.conditional if p.origin == origin and p.b10_years.estimate is not None]
    said = [f"{p.assumption}: {years(p.b10_years.estimate)}" for p in ifs if p.b10_years.estimate is not None]
    return f"Age at which one in ten has failed, {'; '.join(said)}." if said else "Only the age at which units are removed; see section 'How long units last'."


def _refusal(lives: LifeEstimates | None, origin: str) -> str:
    refused = [text for text in (lives.refused if lives is not None else ()) if origin in text] or list(lives.refused if lives is not None else ())
    return refused[0] if refused else f"No {origin} cooling unit was followed."


def outside(rates: OutsideFaultRates | None, reason: str) -> Answer:
    """How often cooling complaints come from outside the unit."""
    question = "How often does a complaint about cooling come from outside the unit?"
    if rates is None:
        return Answer(question=question, state=CANNOT_SAY, because=reason or "No vehicle-years are under observation.",
                      smallest_change="Import the visits and the vehicles with their first day in service.")
    return Answer(question=question, state=ANSWERED, says=f"{with_interval(rates.overall.rate, _rate)} per vehicle and year.")


def _rate(value: float) -> str:
    return f"{value:.3f}"


def coming(next_year: NextYear | None, lives: LifeEstimates | None, reason: str) -> Answer:
    """How many units the next year takes."""
    question = "How many units will fail or be condemned in the next four quarters?"
    if next_year is None:
        return Answer(question=question, state=CANNOT_SAY, because=reason or "It needs a life and a needless rate.", smallest_change=_for_a_life(lives))
    says = f"{ends(next_year.total_failures, count)} true failures, {ends(next_year.total_needless, count)} needless removals."
    return Answer(question=question, state=ANSWERED, says=says)


def coming_cost(next_year: NextYear | None, has_prices: bool) -> Answer:
    """What that costs."""
    question = "What will they cost?"
    if next_year is not None and next_year.total_cost is not None:
        money = money_with_interval(next_year.total_cost, next_year.price_basis)
        return Answer(question=question, state=ANSWERED, says=f"{money} for exchanges of units; outside repairs and lost days come on top.")
    if not has_prices:
        return Answer(question=question, state=CANNOT_SAY, because="There is no prices.toml.",
                      smallest_change="Write prices.toml with what one exchange costs today.")
    return Answer(question=question, state=CANNOT_SAY, because="The number of units cannot be said, or no exchange is priced.",
                  smallest_change="See the question before this one; price one exchange in prices.toml.")


def waiting(open_visits: int, decided: int, has_prices: bool, inferred: int, left: str = "") -> Answer:
    """What to do with the units in the shops today.

    inferred: open visits that are taken as such, because neither a state nor a release is recorded. left: how many visits are not, and why.
    """
    question = "What should be done with the units that wait for a decision?"
    if not open_visits and left:
        return Answer(question=question, state=BOUNDS, says="No visit is taken as open.", because=left,
                      smallest_change="Fill the days of release, or map a column to status.")
    if not open_visits:
        return Answer(question=question, state=ANSWERED, says="No visit was open.")
    are = "is" if inferred == 1 else "are"
    taken = f" {inferred} of {open_visits} open visits {are} taken as open: neither a state nor a release is recorded." if inferred else ""
    taken += f" {left}" if left else ""
    if decided:
        return Answer(question=question, state=ANSWERED, says=f"{decided} of {open_visits} open visits have a recommendation.{taken}")
    because = "No open visit could be priced." if has_prices else "There is no prices.toml."
    return Answer(question=question, state=CANNOT_SAY, because=f"{because}{taken}", smallest_change="Write prices.toml with what the options cost today.")


def spent(bases: int, money_stated: bool) -> Answer:
    """What refrigerator visits cost so far."""
    question = "What did refrigerator visits cost, in one constant money?"
    if not bases:
        return Answer(question=question, state=CANNOT_SAY, because="No visit has an amount with its currency.",
                      smallest_change="Map one column to total_cost and state the currency in the profile.")
    if not money_stated:
        apart = "of the one currency there is" if bases == 1 else f"of each of {bases} currencies apart"
        return Answer(question=question, state=BOUNDS, says=f"Amounts {apart}, in the money of their own months.",
                      because="There is no money.toml with exchange rates and a price index.",
                      smallest_change="Write money.toml for the months of the records.")
    return Answer(question=question, state=ANSWERED, says="By quarter, see section 'Spend by quarter'.")
