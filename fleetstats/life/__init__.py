"""How long cooling units last: nonparametric and Weibull lives, corrected for needless removals, and rates."""

from fleetstats.life.curves import at_risk_table, corrected_curve, counted_curve, survival_curve, survival_curves
from fleetstats.life.estimates import estimate_life
from fleetstats.life.lives import GroupRate, LifeEstimates, LifePopulation, NeedlessRates, OutsideFaultRates, SurvivalCurve
from fleetstats.life.model import Covariates, FailureModel
from fleetstats.life.rates import needless_rates, outside_fault_rates

__all__ = [
    "Covariates", "FailureModel", "GroupRate", "LifeEstimates", "LifePopulation", "NeedlessRates", "OutsideFaultRates", "SurvivalCurve",
    "at_risk_table", "corrected_curve", "counted_curve", "estimate_life", "needless_rates", "outside_fault_rates",
    "survival_curve", "survival_curves",
]
