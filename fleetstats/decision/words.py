"""The sentences of the sheet."""

from __future__ import annotations

import math
from collections.abc import Iterable

from fleetstats.decision.answer import OPTION_WORDS, Evidence
from fleetstats.decision.cases import Case
from fleetstats.decision.prices import Prices
from fleetstats.safety import Gate, caution_texts, matters_of

MODE_WORDS = {"AC": "mains heat", "LP": "gas heat", "AIR": "air flow", "LEVEL": "level, or a stall that restarts", "CTRL": "control", "BOX": "gasket and door"}
STEP = 0.05
"""Probabilities are said in steps of 5 %: they are not known better."""
UNLIKELY, LIKELY = 0.3, 0.7
"""Without money: below the first the outside fault comes first, above the second a true fault is taken as likely; assumed, no source."""
GAS_SIDE_FIRST = "Off hire. Gas side first, by a licensed person"


def headline(best: str | None, gate: Gate, evidence: Evidence, outside: str | None) -> str:
    """The recommendation and how probable a true fault is, in two sentences. outside: the outside mode that the evidence names, if any."""
    if gate.gas_side_only:
        return f"{GAS_SIDE_FIRST}; no decision about the cooling unit before."
    words = _without_money(gate, evidence, outside) if best is None else _with_money(best, outside)
    return f"{_start(gate, words)}. {_probability(evidence)}"


def _start(gate: Gate, words: str) -> str:
    if gate.state == "not checked":
        return f"Look and smell at the rear (C01) first; if nothing is found: {words}"
    said = words[0].upper() + words[1:]
    if gate.state == "clear":
        return said
    return f"{GAS_SIDE_FIRST}. Then: {words}" if gate.gas_side else f"Off hire. {said}"


def _with_money(best: str, outside: str | None) -> str:
    if best != "remedy":
        return OPTION_WORDS[best]
    return "look for the outside fault first" if outside is None else f"{OPTION_WORDS[best]}, most likely the {MODE_WORDS[outside]}"


def _without_money(gate: Gate, evidence: Evidence, outside: str | None) -> str:
    """What the evidence alone advises."""
    if gate.state == "closed":
        return "the unit is not run again before a proper shop has seen to what closed the gate (not priced)"
    p = evidence.probability.estimate or 0.0
    if p < UNLIKELY:
        return f"remedy the outside fault first{f', most likely the {MODE_WORDS[outside]}' if outside else ''} (not priced)"
    return "verify before deciding (not priced)" if p <= LIKELY else "a true fault is likely: bench or second opinion before exchanging (not priced)"


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
    """What comes before anything else: people first, then the gas side, then the unit."""
    if gate.state == "not checked":
        return "Look and smell at the rear and in the cabinet before anything else (C01)."
    if gate.state != "closed":
        return ""
    if not gate.gas_side:
        return f"Heat off, vehicle off hire: {gate.finding}."
    if "co" in gate.about:
        danger, steps = "Carbon monoxide", "people out into fresh air, gas off and heat off, ventilate"
    else:
        danger, steps = "Fuel gas", "people out, no flame and no switch, gas off at the cylinder, heat off, ventilate"
    return f"{danger}: {steps}; appliance out of use and vehicle off hire until a licensed person has made the gas side safe: {gate.finding}."


def warranty_cautions(case: Case, prices: Prices | None) -> tuple[str, ...]:
    """That a warranty may still run, where the unit is younger than today's price row of its kind gives (unknown origin: new)."""
    price = None if prices is None else prices.option(f"exchange_{case.life}", case.size_l, case.date)
    if price is None or case.age_years >= price.warranty_months / 12:
        return ()
    months = round(12 * case.age_years)
    return (f"The unit is {months} month{'' if months == 1 else 's'} old; its warranty may still run: claim before paying.",)


def cautions_for(gate: Gate, best: str | None, evidence: Evidence, case: Case, *, advised: Iterable[str] = (), outside: str | None = None) -> tuple[str, ...]:
    """Cautions of the sheet: what holds always, those of the gate, of the complaint and checks, of the work advised, and how far the
    probability may be trusted.

    advised: codes of the checks to do next. outside: the outside mode that the evidence names.
    """
    about = set(gate.about) | matters_of(symptom=case.symptom, checks=case.outcomes(), advised=advised, finding=case.called_mode)
    about |= {"leak"} if gate.state == "not checked" else set()
    about |= {"gas", "co"} if outside == "LP" or gate.gas_side else {"electric"} if outside == "AC" else set()
    p = evidence.probability.estimate or 0.0
    if best in ("remedy", "verify", "defer") or (best is None and p <= LIKELY and gate.state != "closed"):
        about |= {"electric", "gas", "co", "heat", "test"}
    elif best != "sell" and not gate.gas_side_only:
        about |= {"unit", "gas", "co", "electric"}
    said = caution_texts(*sorted(about))
    if not evidence.anchored:
        said += ("The probability comes from assumed tables, not from units tested on a bench: read it as an order of magnitude.",)
    return said
