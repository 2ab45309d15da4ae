"""The audit of removals and of senders as data and as text."""

from __future__ import annotations

from typing import Any

import fleetstats
from fleetstats.cli.text import pairs, table
from fleetstats.diagnosis import RemovalAudit, SenderAudit
from fleetstats.errors import CannotAnswer
from fleetstats.figures.words import percent, with_interval
from fleetstats.records import Fleet
from fleetstats.report.prose import sensitivities


def audit_of(fleet: Fleet) -> tuple[RemovalAudit | None, SenderAudit | None]:
    """Both audits; one of them may be missing. Raises CannotAnswer when there is neither a condemned unit nor a bench log."""
    histories = fleetstats.build_histories(fleet)
    causes = fleetstats.draw_causes(histories, fleet.settings)
    senders = fleetstats.audit_senders(fleet.bench_tests, fleet.settings) if len(fleet.bench_tests) else None
    try:
        return fleetstats.audit_removals(histories, causes, fleet.bench_tests, fleet.settings), senders
    except CannotAnswer:
        if senders is None:
            raise
        return None, senders


def audit_data(removals: RemovalAudit | None, senders: SenderAudit | None) -> dict[str, Any]:
    """The data of `diagnose --json`."""
    whole = removals.to_dict() if removals is not None else {"condemned": 0, "tested": 0, "needless_share": None, "by_shop": []}
    return {**whole, "by_sender": list(senders.by_sender) if senders is not None else [], "senders": senders}


def audit_text(removals: RemovalAudit | None, senders: SenderAudit | None) -> str:
    """Counts, shares with intervals, shops and senders."""
    parts = [] if removals is None else [_removals(removals)]
    if senders is not None:
        rows = [[row.sender, row.cores, row.tested, row.no_fault, with_interval(row.corrected, percent)] for row in senders.by_sender]
        parts.append(f"Of the {senders.population}: {with_interval(senders.corrected, percent)} healthy ({senders.cores} cores).\n\n"
                     f"{table(['sender', 'cores', 'tested', 'no fault', 'corrected'], rows)}")
    notes = [text for part in (removals, senders) if part is not None for text in part.cautions]
    return "\n\n".join([*parts, *notes])


def _removals(audit: RemovalAudit) -> str:
    share = audit.needless_share
    lines = [("Condemned", f"{audit.condemned} units, {audit.tested} of them tested on a bench, {audit.no_fault} of those without a fault"),
             ("Tested only", with_interval(share.tested_only, percent)),
             ("Corrected", f"{with_interval(share.corrected, percent)}, shops that bench; {with_interval(share.corrected_all_shops, percent)}, all shops"),
             ("Bounds", f"{percent(share.bounds.lower)} to {percent(share.bounds.upper)}, whatever the untested units are")]
    lines += [("", f"{row.assumption}: {with_interval(row.share, percent)}") for row in sensitivities(audit)]
    rows = [[row.shop, row.condemned, row.tested, row.no_fault, with_interval(row.corrected, percent), row.note] for row in audit.by_shop]
    return f"{pairs(lines)}\n\n{table(['shop', 'condemned', 'tested', 'no fault', 'corrected', ''], rows)}"
