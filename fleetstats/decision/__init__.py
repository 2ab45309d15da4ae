"""What to do with the unit in front of you: evidence, options in money, and the worth of looking once more."""

from fleetstats.decision.answer import OPTION_WORDS, OPTIONS, Decision, Evidence, NextCheck, OptionCost, Step, Threshold
from fleetstats.decision.cases import Case, case_from_visit, read_case
from fleetstats.decision.deciding import decide
from fleetstats.decision.hazards import Hazards, Rates, group_rate, hazards_for, rate_draws
from fleetstats.decision.prices import Prices, read_prices
from fleetstats.decision.rental import read_calendar

__all__ = [
    "OPTIONS", "OPTION_WORDS", "Case", "Decision", "Evidence", "Hazards", "NextCheck", "OptionCost", "Prices", "Rates", "Step", "Threshold",
    "case_from_visit", "decide", "group_rate", "hazards_for", "rate_draws", "read_calendar", "read_case", "read_prices",
]
