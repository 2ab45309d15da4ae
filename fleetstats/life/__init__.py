"""How long cooling units last: nonparametric and Weibull lives, corrected for needless removals, and rates."""

from fleetstats.life.estimates import estimate_life
from fleetstats.life.lives import GroupRate, LifeEstimates, LifePopulation, NeedlessRates, OutsideFaultRates, SurvivalCurve
from fleetstats.life.model import FailureModel

__all__ = [
    "FailureModel", "GroupRate", "LifeEstimates", "LifePopulation", "NeedlessRates", "OutsideFaultRates", "SurvivalCurve", "estimate_life",
]
