"""Small results made by hand, for figures to draw."""

import numpy as np
import pandas as pd

from fleetstats.decision import OPTIONS, Decision, Evidence, OptionCost
from fleetstats.diagnosis import Funnel, FunnelPoint
from fleetstats.life import SurvivalCurve
from fleetstats.results import Estimate


def estimate(point: float | None, lower: float | None, upper: float | None, unit: str = "USD 2025-12 net") -> Estimate:
    return Estimate(estimate=point, lower=lower, upper=upper, level=0.9, method="by hand", unit=unit)


def curve(basis: str, kind: str, last_share: float, origin: str = "new") -> SurvivalCurve:
    ages = np.linspace(0.0, 10.0, 11)
    share = np.linspace(1.0, last_share, 11)
    return SurvivalCurve(
        origin=origin, basis=basis, kind=kind, age_years=ages, survival=share, lower=share * 0.95, upper=np.minimum(share * 1.05, 1.0),
        at_risk=np.arange(110, 0, -10), level=0.9, method="by hand", transformation="log-log",
    )


FUNNEL = Funnel(pooled=0.3, level=0.9, points=(
    FunnelPoint(shop="Harbour workshop", tested=30, no_fault=8, share=8 / 30, limit_lower=0.17, limit_upper=0.43, place="within"),
    FunnelPoint(shop="Hill workshop", tested=14, no_fault=9, share=9 / 14, limit_lower=0.1, limit_upper=0.5, place="above"),
))

SPEND = pd.DataFrame({
    "quarter": ["2025-Q1", "2025-Q2", "2025-Q3", "2025-Q4"], "price_basis": "USD 2025-12 net", "spend": [12000.0, 18340.0, 9000.0, 2000.0],
    "visits": [12, 18, 9, 2], "complete": [True, True, True, False],
})

FILES = pd.DataFrame({
    "file": ["one.csv", "two.xlsx"], "rows_read": [100, 50], "accepted": [80, 30], "merged": [5, 5], "superseded": [0, 5], "set_aside": [10, 5],
    "rejected": [3, 2], "furniture": [2, 3],
})


def decision(gate_state: str = "clear") -> Decision:
    costs = {"remedy": (1300.0, 1000.0, 1700.0), "exchange_new": (2500.0, 2200.0, 2900.0)}
    lines = tuple(
        OptionCost(option=option, status="priced", cost=estimate(*costs[option]), p_best=0.9 if option == "remedy" else 0.1, regret=10.0,
                   if_failed=3000.0, if_healthy=900.0) if option in costs else OptionCost(option=option, status="not priced", reason="no price")
        for option in OPTIONS
    )
    evidence = Evidence(probability=estimate(0.18, 0.09, 0.31, "share"), anchored=False, prior_probability=0.3, prior_basis="age", evidence_log_odds=-0.7,
                        steps=(), modes={})
    return Decision(
        case="a case", vehicle_id="V-1", date="2025-12-31", headline="Remedy the outside fault first.", probability_true_failure=evidence.probability,
        anchored=False, gate_state=gate_state, gate_finding="", first_step="", options=lines, recommended="remedy", recommended_if_closed=None,
        clear_difference=True, thresholds=(), evidence=evidence, checks=(), next_check="No check can change the decision.", evpi=None,
        price_basis="USD 2025-12 net", seed=1,
    )
