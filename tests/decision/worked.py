"""The worked example of the tests: one vehicle in June with five years to go, its prices, calendar, lives and rates."""

import datetime as dt

import numpy as np
import pandas as pd

from fleetstats.decision import Case, Prices, Rates
from fleetstats.life import FailureModel, GroupRate, LifeEstimates, NeedlessRates, OutsideFaultRates
from fleetstats.life.model import Covariates
from fleetstats.results import Estimate
from fleetstats.settings import Settings
from fleetstats.tables import CALENDAR

SETTINGS = Settings(as_of=dt.date(2025, 6, 1), currency="USD", price_month="2025-06", real_rate=.04)
RENTED = [.15, .20, .40, .55, .65, .80, .90, .90, .70, .50, .25, .15]
MONEY = {"currency": "USD", "price_month": "2025-06"}
HOURS = {"labour_hours": 4, "labour_rate": 120, "freight_out": 90, "core_credit": 100}


def price(option: str, life: str, unit_price: float, days: float, warranty_months: float, **other: float) -> dict[str, object]:
    return {**MONEY, "option": option, "life": life, "unit_price": unit_price, "lead_days_in_stock": days, "warranty_months": warranty_months, **other}


PRICES = Prices.model_validate({
    "price": [
        price("exchange_reconditioned", "reconditioned", 650, 5, 12, **HOURS),
        price("exchange_new", "new", 900, 7, 24, **HOURS),
        price("recondition_own", "reconditioned", 650, 21, 12, labour_hours=0, labour_rate=0, consumables=340),
        price("replace_refrigerator", "new", 900, 14, 24, labour_hours=4, labour_rate=120, consumables=1200, cures_outside=1),
    ],
    "remedy": [{**MONEY, "modes": ["AC", "LP", "AIR", "LEVEL", "CTRL", "BOX"], "parts": 40, "labour_hours": 1, "labour_rate": 120, "days": 1}],
    "verify": {**MONEY, "price": 150, "days": 2, "sensitivity": .95, "specificity": .90},
    "repeat_visit": {**MONEY, "price": 90, "days": 1},
    "resale": {**MONEY, "fresh_unit_gain": 200, "until_years": 10},
})
CASE = Case(
    name="worked", date=dt.date(2025, 6, 1), vehicle_id="V1", depot="Harbour", size_l=150, origin="new", unit_age_years=6.0,
    planned_exit=dt.date(2030, 6, 1), symptom="SYM_NOCOOL", findings={"C01": "pass"},
)


def calendar(margin: float = 120.0) -> pd.DataFrame:
    return CALENDAR.check(pd.DataFrame({
        "depot": "Harbour", "month": range(1, 13), "share_rented": RENTED, "daily_margin": margin, "substitutable_share": 0.0,
        "price_basis": "USD 2025-06 net",
    }))


def rate(value: float, spread: float = 0.0) -> GroupRate:
    held = Estimate(estimate=value, lower=value * (1 - spread), upper=value * (1 + spread), level=.9, method="given", unit="per vehicle-year")
    return GroupRate(group="all", events=100.0, exposure_years=100 / value, rate=held)


def lives(sd: float = 1e-9) -> LifeEstimates:
    """Weibull 1.8, 14 years (new) and 1.2, 11 years (reconditioned), no early hazard; standard deviation of every parameter `sd`."""
    point = np.array([np.log(14), np.log(11 / 14), np.log(1.8), np.log(1.2 / 1.8), -60.0])
    covariance = sd**2 * np.eye(5)
    model = FailureModel(
        covariates=Covariates(sizes=(), reference_size="150", hot=False),
        parameters=("intercept", "reconditioned", "log shape", "difference", "log early hazard"),
        point=point, covariance=covariance, draw_points=point[None], draw_covariances=covariance[None],
        observed_years={"new": 12.0, "reconditioned": 8.0},
    )
    return LifeEstimates(populations=(), conditional=(), failure_rate=None, model=model, refused=())


def rates(spread: float = 0.0) -> Rates:
    """Outside faults 0.25 a year in all, a quarter of them costing a sound unit."""
    return Rates(
        needless=NeedlessRates(overall=rate(.0625, spread), by_shop=(), by_size=()), outside=OutsideFaultRates(overall=rate(.25, spread), by_size=()),
    )
