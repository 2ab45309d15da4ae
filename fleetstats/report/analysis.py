"""`analyse`: every question asked once, in the order of the rooms; what cannot be answered leaves a reason instead of a number."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pandas as pd

from fleetstats import __version__
from fleetstats.budget import NextYear
from fleetstats.diagnosis import RemovalAudit, SenderAudit, audit_removals, audit_senders
from fleetstats.life import survival_curves
from fleetstats.records import read_journal, refusals
from fleetstats.report import answerable
from fleetstats.report.changes import changes_since
from fleetstats.report.coverage import coverage
from fleetstats.report.grounds import Grounds, fleet_of, grounds_of
from fleetstats.report.headline import headline, made_with
from fleetstats.report.quarterly import Answer, OpenVisit, Quarterly
from fleetstats.report.spend import spend_by_fiscal_year, spend_by_quarter, totals_summed, with_shares
from fleetstats.report.waiting import known, not_taken_as_open, open_visits
from fleetstats.results import Fingerprint
from fleetstats.settings import Project, Settings


def analyse(project: Project, *, level: float | None = None, seed: int | None = None) -> Quarterly:
    """The quarterly report of a project whose files were imported; parts its data cannot carry are None, with the reason.

    level: content of intervals; seed: of all draws; both from fleetstats.toml when left out.
    Raises InputRefused when nothing was imported, or prices, calendar or money do not add up.
    """
    grounds = grounds_of(project, fleet_of(project, level, seed))
    fleet, asked, settings = grounds.fleet, grounds.asked, grounds.fleet.settings
    audit = asked("audit", lambda: audit_removals(grounds.histories, grounds.causes, fleet.bench_tests, settings))
    senders = asked("senders", lambda: audit_senders(fleet.bench_tests, settings))
    coming = asked("next_year", grounds.next_year)
    visits = known(fleet.visits, settings.as_of)
    waiting, left = open_visits(fleet, grounds.decide_visit), not_taken_as_open(visits, settings)
    billed = with_shares(visits, fleet.payments)
    covered = coverage(fleet)
    spend = spend_by_quarter(billed, covered, settings, grounds.money)
    made = Quarterly(
        fleet=settings.fleet, quarter=settings.quarter, as_of=settings.as_of, level=settings.level, seed=settings.seed, version=__version__,
        counts=grounds.histories.summary, period=_period(visits), files=fleet.files, unknown=fleet.unknown, rejects=refusals(fleet.rejects),
        notes=grounds.histories.notes, audit=audit, senders=senders, lives=grounds.lives, next_year=coming,
        curves=survival_curves(grounds.histories, grounds.causes, grounds.lives, settings) if grounds.lives is not None else (),
        needless_rates=grounds.needless, outside_rates=grounds.outside, open_visits=waiting, spend=spend,
        spend_by_year=spend_by_fiscal_year(billed, covered, settings, grounds.money),
        totals_summed=totals_summed(visits), not_taken_as_open=left, incomplete=_incomplete(covered, settings),
        answers=_answers(grounds, audit, senders, coming, waiting, left, spend),
        reasons=dict(asked.reasons), cautions=_cautions(grounds, audit, coming), inputs=Fingerprint(inputs=fleet.fingerprint.inputs, seed=settings.seed),
    )
    return replace(made, changes=changes_since(read_journal(project), headline(made), made_with(made)))


def _answers(
    grounds: Grounds, audit: RemovalAudit | None, senders: SenderAudit | None, coming: NextYear | None, waiting: tuple[OpenVisit, ...], left: str,
    spend: pd.DataFrame,
) -> tuple[Answer, ...]:
    why, priced = grounds.asked.reasons.get, grounds.prices is not None
    return (
        answerable.needless(audit, why("audit", "")), answerable.shops(audit), answerable.senders(senders),
        answerable.life(grounds.lives, "new", why("lives", "")), answerable.life(grounds.lives, "reconditioned", why("lives", "")),
        answerable.outside(grounds.outside, why("outside_rates", "")),
        answerable.coming(coming, grounds.lives, why("next_year", "")), answerable.coming_cost(coming, priced),
        answerable.waiting(len(waiting), sum(visit.decision is not None and visit.decision.recommended is not None for visit in waiting), priced,
                           sum(visit.inferred for visit in waiting), left),
        answerable.spent(spend["price_basis"].nunique(), grounds.money is not None),
    )


def _period(visits: pd.DataFrame) -> tuple[dt.date, dt.date] | None:
    days = pd.concat([visits[name] for name in ("date_in", "date_out")]).dropna()
    return None if days.empty else (days.min().date(), days.max().date())


def _incomplete(covered: pd.DataFrame, settings: Settings) -> dict[str, str]:
    """Shop -> last day of its records, for those that end before as_of."""
    late = covered[covered["covers_to"].notna() & (covered["covers_to"] < pd.Timestamp(settings.as_of))].fillna({"shop": "a shop not named"})
    return {str(row["shop"]): f"{row['covers_to']:%Y-%m-%d}" for row in late.sort_values("shop").to_dict("records")}


def _cautions(grounds: Grounds, audit: RemovalAudit | None, coming: NextYear | None) -> tuple[str, ...]:
    parts = (audit, grounds.lives, grounds.needless, grounds.outside, coming)
    return tuple(dict.fromkeys(text for part in parts if part is not None for text in part.cautions))
