"""The sheet for one unit, as text: answer, gate, why, what else to check, options, what would change it, cautions."""

from __future__ import annotations

import math
import textwrap

from fleetstats.cli.text import pairs, table
from fleetstats.decision import OPTION_WORDS, Decision
from fleetstats.figures.words import amount, money, money_with_interval, percent, with_interval


def decision_text(decision: Decision) -> str:
    """The sheet as it is read aloud, top to bottom."""
    blocks = [decision.headline, pairs(_top(decision)), _why(decision), _options(decision), _changes(decision)]
    blocks.append("\n".join(textwrap.fill(text, 110, initial_indent="- ", subsequent_indent="  ") for text in decision.cautions))
    if decision.assumptions:
        blocks.append(textwrap.fill(f"Figures that were defaults: {'; '.join(decision.assumptions)}.", 110))
    return "\n\n".join(block for block in blocks if block)


def _top(decision: Decision) -> list[tuple[str, str]]:
    held = "" if decision.anchored else " (not anchored: no bench verdicts hold its level)"
    probable = with_interval(decision.probability_true_failure, percent)
    gate = f"{decision.gate_state}: {decision.gate_finding}" if decision.gate_finding else decision.gate_state
    lines = [("Case", f"{decision.case}, vehicle {decision.vehicle_id or 'not named'}, {decision.date}"), ("Gate", gate)]
    lines += [("First", decision.first_step)] if decision.first_step else []
    lines.append(("True failure", f"{probable}{held}; before any finding {percent(decision.evidence.prior_probability)}"))
    return [*lines, *([("Next check", decision.next_check)] if decision.next_check else [])]


def _why(decision: Decision) -> str:
    rows = [[step.finding, _weight(step.contribution), percent(step.probability)] for step in decision.evidence.steps]
    shown = [table(["finding", "speaks", "true failure then"], rows)] if rows else []
    if decision.evidence.unused:
        left = "; ".join(f"{each.check} {each.outcome} ({each.reason})" for each in decision.evidence.unused)
        shown.append(textwrap.fill(f"Recorded, not used: {left}.", 110))
    return "\n\n".join(shown)


def _weight(contribution: float) -> str:
    """How far a finding moves the odds of a true failure, in words: by a factor of 5, of 2, of 1.2, or less."""
    for factor, word in ((5.0, "strongly "), (2.0, ""), (1.2, "a little ")):
        if abs(contribution) >= math.log(factor):
            return f"{word}{'for it' if contribution > 0 else 'against it'}"
    return "hardly either way"


def _options(decision: Decision) -> str:
    if decision.gate_state == "closed" and decision.recommended is None:
        return ""  # the gas side comes before any decision about the unit: prices would invite one
    priced = sorted((line for line in decision.options if line.cost is not None), key=lambda line: line.cost.estimate or 0.0 if line.cost else 0.0)
    rows = [[
        OPTION_WORDS[line.option], money_with_interval(line.cost, decision.price_basis), _amount(line.now), _amount(line.later),
        "" if line.p_best is None else percent(line.p_best), _amount(line.regret), "" if line.status == "priced" else line.status,
    ] for line in priced]
    shown = table(["option", "cost", "today", "later", "cheapest in", "above the best", ""], rows)
    meaning = ("Today: work, parts and days out now. Later: what is to be expected until the planned exit. Cheapest in: share of the draws. "
               "Above the best: mean extra cost over the cheapest of each draw.")
    parts = [f"Expected cost to the planned exit, {decision.price_basis}\n{shown}\n{meaning}"] if rows else []
    left: dict[str, list[str]] = {}
    for line in decision.options:
        if line.cost is None:
            left.setdefault(f"{line.status} ({line.reason})" if line.reason else line.status, []).append(OPTION_WORDS[line.option])
    parts += [textwrap.fill(f"{why[0].upper()}{why[1:]}: {'; '.join(names)}.", 110) for why, names in left.items()]
    return "\n\n".join(parts)


def _amount(value: float | None) -> str:
    return "" if value is None else amount(value)


def _changes(decision: Decision) -> str:
    said = [f"Up to {percent(t.value)} {t.quantity}: {OPTION_WORDS[t.below]}; beyond: {OPTION_WORDS[t.above]}." for t in decision.thresholds]
    if not decision.clear_difference and decision.recommended is not None:
        said.insert(0, "The second best option is as good within the doubt.")
    if decision.evpi is not None and decision.price_basis:
        said.append(f"Knowing for certain would be worth {money(decision.evpi, decision.price_basis)}.")
    return "\n".join(said)
