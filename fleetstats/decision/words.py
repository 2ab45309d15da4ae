"""The sentences of the sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping

from fleetstats.decision.answer import OPTION_WORDS, Evidence
from fleetstats.safety import Gate, caution_texts

MODE_WORDS = {"AC": "mains heat", "LP": "gas heat", "AIR": "air flow", "LEVEL": "level, or a stall that restarts", "CTRL": "control", "BOX": "gasket and door"}
STEP = 0.05
"""Probabilities are said in steps of 5 %: they are not known better."""


def headline(best: str | None, gate: Gate, evidence: Evidence, outside: Mapping[str, float]) -> str:
    """The recommendation and how probable a true fault is, in two sentences."""
    said = _probability(evidence)
    if best is None:
        return f"No option can be priced. {said}"
    words = OPTION_WORDS[best]
    if best == "remedy":
        likely = max(outside, key=lambda mode: outside[mode])
        words += f", most likely the {MODE_WORDS[likely]}"
    start = "Off hire. " if gate.state == "closed" else "Look and smell at the rear (C01) first; if nothing is found: " if gate.state == "not checked" else ""
    return f"{start}{words[0].upper() + words[1:] if not start.endswith(': ') else words}. {said}"


def _probability(evidence: Evidence) -> str:
    p = evidence.probability
    value, lower, upper = p.estimate or 0.0, p.lower or 0.0, p.upper or 1.0
    how = "unlikely" if value <= 0.25 else "likely" if value >= 0.75 else "possible"
    tail = "" if evidence.anchored else "; not anchored by bench verdicts"
    low, high = math.floor(lower / STEP + 1e-9) * 100 * STEP, math.ceil(upper / STEP - 1e-9) * 100 * STEP
    return f"A true fault of the cooling unit is {how} ({_in_steps(value)}, {low:.0f} to {high:.0f} %{tail})."


def _in_steps(value: float) -> str:
    """A probability in words, to the nearest step and never as none or all."""
    if value < STEP:
        return "less than 5 %"
    if value > 1 - STEP:
        return "more than 95 %"
    return f"about {100 * STEP * round(value / STEP):.0f} %"


def first_step(gate: Gate) -> str:
    """What comes before anything else."""
    if gate.state == "closed":
        return f"Heat off, vehicle off hire: {gate.finding}."
    if gate.state == "not checked":
        return "Look and smell at the rear and in the cabinet before anything else (C01)."
    return ""


def cautions_for(gate: Gate, best: str | None, evidence: Evidence) -> tuple[str, ...]:
    """Cautions of the sheet: what holds always, the gate's, those of the work advised, and how far the probability may be trusted."""
    about = set(gate.about) | ({"leak"} if gate.state == "not checked" else set())
    if best in ("remedy", "verify", "defer"):
        about |= {"electric", "gas", "heat", "test"}
    elif best is not None and best != "sell":
        about |= {"unit", "gas", "electric"}
    said = caution_texts(*sorted(about))
    if not evidence.anchored:
        said += ("The probability comes from assumed tables, not from units tested on a bench: read it as an order of magnitude.",)
    return said
