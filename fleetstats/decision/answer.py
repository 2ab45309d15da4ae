"""What a decision says: the evidence for one unit, the options with their cost, and what would change the choice."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from fleetstats.results import Estimate, Result, plain

OPTIONS = (
    "remedy", "verify", "exchange_used_tested", "exchange_reconditioned", "exchange_reconditioned_bench_core", "exchange_new",
    "recondition_own", "replace_refrigerator", "defer", "sell",
)
"""Every option there is, in the order of the sheet."""

OPTION_WORDS = {
    "remedy": "put the outside fault right first", "verify": "test in the vehicle before deciding",
    "exchange_used_tested": "exchange for a used unit that was tested", "exchange_reconditioned": "exchange for a reconditioned unit",
    "exchange_reconditioned_bench_core": "exchange for a reconditioned unit and bench the core", "exchange_new": "exchange for a new unit",
    "recondition_own": "recondition this unit", "replace_refrigerator": "replace the whole refrigerator",
    "defer": "wait for the quiet season and recondition then", "sell": "sell the vehicle as it is",
}
"""The options in words."""

STATUSES = ("priced", "only after C01 is clear", "removed by the gate", "not priced")
"""What an option's line says; the reason beside it says why."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """One finding of the waterfall, in the order recorded.

    contribution: change of the log-odds of a true failure when the finding is entered; they add up exactly.
    log_odds, probability: after it. without: log-odds that would be lost if this finding alone were left out.
    """

    check: str
    finding: str
    bad: bool
    contribution: float
    log_odds: float
    probability: float
    without: float


@dataclass(frozen=True, kw_only=True)
class Unused:
    """A recorded finding that moves no odds. outcome: "pass", "fail" or "done". reason: why it is not weighed."""

    check: str
    outcome: str
    reason: str


@dataclass(frozen=True, kw_only=True)
class Evidence(Result):
    """How probable a true failure of the unit is, and why.

    probability: of a true failure. anchored: whether bench verdicts hold its level (False: fixed table and prior odds alone).
    prior_probability, prior_basis: before any finding, and how. evidence_log_odds: what the findings together add.
    steps: the waterfall. unused: the recorded findings that are not in it. modes: share of each fault mode, inside and outside the unit, after
    the findings (sum 1).
    """

    probability: Estimate
    anchored: bool
    prior_probability: float
    prior_basis: str
    evidence_log_odds: float
    steps: tuple[Step, ...]
    modes: dict[str, float]
    unused: tuple[Unused, ...] = ()

    def table(self) -> pd.DataFrame:
        """The waterfall: one row per finding with check, finding, bad, contribution, log_odds, probability, without."""
        columns = ["check", "finding", "bad", "contribution", "log_odds", "probability", "without"]
        return pd.DataFrame([vars(step) for step in self.steps], columns=columns)


@dataclass(frozen=True, kw_only=True)
class OptionCost:
    """One line of the options: cost from today to the vehicle's planned exit in constant money.

    cost: expected, with its interval over the parameters; None unless priced. p_best: share of parameter draws in which
    it costs least. regret: expected cost above the best option of each draw. if_failed, if_healthy: expected cost given a true
    failure, and given a sound unit with a fault outside it. now, later: the expected cost in two parts that add up to it: today's work, parts,
    freight and days out of service (repeat visits and the exchange after a remedy or test that fails included), and failures, repairs and
    exit effects from then to the planned exit; waiting for the quiet season counts wholly as later, selling brings its value now.
    status: one of STATUSES. reason: why not priced or removed.
    """

    option: str
    status: str
    reason: str = ""
    cost: Estimate | None = None
    p_best: float | None = None
    regret: float | None = None
    if_failed: float | None = None
    if_healthy: float | None = None
    now: float | None = None
    later: float | None = None


@dataclass(frozen=True, kw_only=True)
class Threshold:
    """Where the choice changes: below `value` of `quantity` the option `below` costs least, above it `above`."""

    quantity: str
    value: float
    below: str
    above: str


@dataclass(frozen=True, kw_only=True)
class NextCheck:
    """What one more check is worth before deciding.

    check: its code. worth: expected saving before its own cost. cost: hands-on time and waiting. net: worth - cost.
    caution: what must be said with it where it bypasses a protection or opens a gas path, else "".
    """

    check: str
    finding: str
    worth: float
    cost: float
    net: float
    caution: str = ""


@dataclass(frozen=True, kw_only=True)
class Decision(Result):
    """The sheet for one unit.

    case, vehicle_id, date: what it is about. headline: the recommendation as a sentence.
    probability_true_failure: None where nothing can be said. anchored: see Evidence; False is printed beside the number.
    gate_state: "closed", "clear" or "not checked"; gate_finding: the finding that closed it, or what lifted it.
    first_step: what to do before anything else (the look and smell when nobody has; heat off when the gate is closed), else "".
    options: one line for each of OPTIONS, in that order. recommended: the option to take; None where none is priced,
    and where fuel gas or carbon monoxide alone closes the gate: nothing is decided about the cooling unit before that side is safe.
    recommended_if_closed: what stands if C01 then fails, given only while the gate is not checked.
    clear_difference: False where the second best is as good as the best within 5 % or within the draws' error.
    thresholds: where in the probability the choice changes. evidence: waterfall, prior, modes.
    checks: worth of each check not yet done; next_check: the one to do, or a sentence that none can change the decision.
    evpi: expected worth of knowing the state for certain, in money. price_basis: e.g. "USD 2025-12 net", "" without prices.
    assumptions: every default used in place of a figure of the user's own. seed: of the draws.
    """

    case: str
    vehicle_id: str | None
    date: str
    headline: str
    probability_true_failure: Estimate | None
    anchored: bool
    gate_state: str
    gate_finding: str
    first_step: str
    options: tuple[OptionCost, ...]
    recommended: str | None
    recommended_if_closed: str | None
    clear_difference: bool
    thresholds: tuple[Threshold, ...]
    evidence: Evidence
    checks: tuple[NextCheck, ...]
    next_check: str
    evpi: float | None
    price_basis: str
    seed: int
    assumptions: tuple[str, ...] = field(default=())

    def table(self) -> pd.DataFrame:
        """One row per option: option, status, estimate, lower, upper, p_best, regret, if_failed, if_healthy, now, later, reason."""
        return pd.DataFrame([_row(line) for line in self.options])


def _row(line: OptionCost) -> dict[str, Any]:
    cost = plain(line.cost) or {}
    numbers = {key: cost.get(key) for key in ("estimate", "lower", "upper")}
    return {
        "option": line.option, "status": line.status, **numbers, "p_best": line.p_best, "regret": line.regret,
        "if_failed": line.if_failed, "if_healthy": line.if_healthy, "now": line.now, "later": line.later, "reason": line.reason,
    }
