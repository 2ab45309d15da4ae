"""What to do with the unit in front of you: evidence, options in money, and the worth of looking once more."""

from fleetstats.decision.answer import OPTIONS, Decision, Evidence, NextCheck, OptionCost, Step, Threshold

__all__ = ["OPTIONS", "Decision", "Evidence", "NextCheck", "OptionCost", "Step", "Threshold"]
