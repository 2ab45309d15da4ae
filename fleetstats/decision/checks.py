"""What one more check is worth before deciding."""

from __future__ import annotations

from fleetstats.decision.answer import NextCheck
from fleetstats.decision.comparison import worth_of_check
from fleetstats.decision.hazards import Floats
from fleetstats.decision.modes import ModeTable
from fleetstats.safety import Gate, caution_texts

SMALL = 0.005
"""Worth below half a hundredth of the currency is none: rounding of the sums."""


def check_worths(table: ModeTable, answered: set[int], costs: Floats, weights: Floats, *, labour_rate: float, day_cost: float) -> tuple[NextCheck, ...]:
    """Every check not yet answered, the one with the largest net worth first.

    answered: rows of the table. costs: (o, m) of each option in each mode. weights: (m,) probability of each mode now.
    labour_rate: money per hands-on hour. day_cost: money per day of waiting.
    """
    lines = []
    for index, row in enumerate(table.rows):
        if index in answered:
            continue
        worth = worth_of_check(costs, weights, table.bad_given_mode[index])
        spent = row.hours * labour_rate + row.days * day_cost
        caution = " ".join(caution_texts("test")[len(caution_texts()):]) if row.bypasses else ""
        worth = worth if worth > SMALL else 0.0
        lines.append(NextCheck(check="+".join(row.checks), finding=row.bad, worth=worth, cost=spent, net=worth - spent, caution=caution))
    return tuple(sorted(lines, key=lambda line: -line.net))


def next_check_words(checks: tuple[NextCheck, ...], gate: Gate, best: str | None, currency: str) -> str:
    """The check to do next, or that none can change the decision."""
    if gate.state == "closed":
        return "No check in the vehicle while the gate is closed."
    if best is None or not checks:
        return ""
    if checks[0].net > 0:
        said = f"{checks[0].check} ({checks[0].finding}?): worth {currency} {checks[0].worth:,.0f}, costs {currency} {checks[0].cost:,.0f}."
        return f"{said} {checks[0].caution}".rstrip()
    if all(line.worth == 0 for line in checks):
        return "No further check can change the decision."
    return "No further check is worth its time."
