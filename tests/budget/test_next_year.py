"""Next year: hand arithmetic, a simulation written apart, exits, seasons, and refusals."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from fleetstats import tables
from fleetstats.budget import next_year
from fleetstats.budget.counts import Expected, first_ends, second_ends
from fleetstats.budget.in_service import share_of_month, units_in_service
from fleetstats.diagnosis import CauseDraws
from fleetstats.errors import CannotAnswer
from fleetstats.histories import Histories
from fleetstats.life import NeedlessRates
from fleetstats.settings import Settings
from tests.decision.worked import PRICES, lives, rate

SETTINGS = Settings(as_of=dt.date(2025, 12, 31), currency="USD", price_month="2025-06")
NEEDLESS = NeedlessRates(overall=rate(.05), by_shop=(), by_size=())


def causes(anchored: bool = True) -> CauseDraws:
    none = np.array([])
    return CauseDraws(tenure_ids=none, shops=none, tested=none, no_fault=none, needless=np.zeros((1, 0), bool), probability_needless=none,
                      anchored=anchored, odds_tested=1.0, method="", seed=1)


def histories(ages: list[float], *, origin: str = "new", condemned: int = 0) -> Histories:
    """One unit in service per age at as_of, and `condemned` others that ended in May of past years."""
    as_of, n = pd.Timestamp(SETTINGS.as_of), len(ages)
    installed = [as_of - pd.Timedelta(days=365.25 * age) for age in ages] + [pd.Timestamp("2015-01-01")] * condemned
    ended = [as_of] * n + [pd.Timestamp(2016 + number % 9, 5, 10) for number in range(condemned)]
    years = [(e - i).days / 365.25 for e, i in zip(ended, installed, strict=True)]
    frame = pd.DataFrame({
        "tenure_id": [f"t{i}" for i in range(n + condemned)], "vehicle_id": [f"V{i}" for i in range(n + condemned)], "origin": origin,
        "installed": pd.Series(installed, dtype="datetime64[s]").dt.floor("D"), "ended": pd.Series(ended, dtype="datetime64[s]"),
        "unit_age_at_installed_years": 0.0, "entered_years": 0.0, "ended_years": years,
        "last_good_years": years, "ending": ["in service"] * n + ["condemned"] * condemned, "size_l": 150.0,
    })
    tenures = tables.TENURES.check(frame)
    return Histories(tenures=tenures, component_events=tables.COMPONENT_EVENTS.empty(), exposure=tables.EXPOSURE.empty(), n_unjoined_bench_tests=0, summary={})


def test_one_age_by_hand():
    """400 new units aged 6, Weibull 1.8, 14: the conditional chance of failing within the year, 1 - exp(H(6) - H(7)), gives the failures within the
    share taken by needless removals and second units (hand bounds on both sides)."""
    found = next_year(histories([6.0] * 400), causes(), lives(), NEEDLESS, None, SETTINGS)
    alone = 400 * (1 - np.exp((6 / 14) ** 1.8 - (7 / 14) ** 1.8))
    assert alone * (1 - .05) < found.total_failures.estimate < alone * (1 + .08)
    assert found.total_needless.estimate == pytest.approx(400 * .05, rel=.05)
    assert found.quarters == ("2026-Q1", "2026-Q2", "2026-Q3", "2026-Q4")
    assert found.units == 400


def test_against_a_simulation_of_vehicles():
    """2,000 years of 300 vehicles simulated in continuous time (second and later units included) agree with the expected counts within 4
    standard errors plus the half per cent that third units can add."""
    ages = np.linspace(1, 12, 300)
    found = next_year(histories(list(ages)), causes(), lives(), NEEDLESS, None, SETTINGS)
    rng, totals = np.random.default_rng(11), np.zeros((2000, 2))
    for run in range(len(totals)):
        totals[run] = one_year(ages, rng)
    for estimate, column in ((found.total_failures, 0), (found.total_needless, 1)):
        mean, error = totals[:, column].mean(), totals[:, column].std() / np.sqrt(len(totals))
        assert abs(estimate.estimate - mean) < 4 * error + .005 * mean


def one_year(ages: np.ndarray, rng: np.random.Generator) -> tuple[int, int]:
    """Failures and needless removals of a year; whatever ends is followed by a reconditioned unit (Weibull 1.2, 11)."""
    first = 14 * ((ages / 14) ** 1.8 + rng.exponential(size=len(ages))) ** (1 / 1.8) - ages
    now, failed, taken = np.zeros(len(ages)), 0, 0
    ends = first
    while len(now):
        removed = rng.exponential(20, len(now))
        at = now + np.minimum(ends, removed)
        inside = at < 1
        failed, taken = failed + int((inside & (ends <= removed)).sum()), taken + int((inside & (ends > removed)).sum())
        now = at[inside]
        ends = 11 * rng.exponential(size=len(now)) ** (1 / 1.2)
    return failed, taken


def test_vehicles_that_leave_need_nothing_after():
    """All vehicles leaving on 1 April 2026: the first quarter is as before, the others are empty."""
    past = histories([6.0] * 50)
    vehicles = tables.VEHICLES.conform(pd.DataFrame({"vehicle_id": [f"V{i}" for i in range(50)], "planned_exit": pd.Timestamp("2026-04-01")}))
    stay, leave = (next_year(past, causes(), lives(), NEEDLESS, None, SETTINGS, vehicles=v) for v in (None, vehicles))
    assert leave.failures[0].estimate == pytest.approx(stay.failures[0].estimate)
    assert [line.estimate for line in leave.removals[1:]] == [0, 0, 0]


def test_share_of_a_month():
    """Leaving on 16 April is 15 of 30 days of April there; no planned exit is there to the end."""
    units = units_in_service(histories([2.0, 3.0]).tenures, pd.Timestamp("2026-01-01"))
    vehicles = tables.VEHICLES.conform(pd.DataFrame({"vehicle_id": ["V0"], "planned_exit": [pd.Timestamp("2026-04-16")]}))
    share = share_of_month(units, vehicles, pd.date_range("2026-01-01", periods=13, freq="MS"))
    assert share[0].tolist() == pytest.approx([1, 1, 1, .5] + [0] * 8)
    assert share[1].tolist() == [1] * 12


def test_seasons_move_counts_between_quarters_only():
    """Sixty condemned units, all in May: the second quarter takes most, the year stays within what its own hazard gives."""
    even = next_year(histories([6.0] * 200), causes(), lives(), NEEDLESS, None, SETTINGS)
    spring = next_year(histories([6.0] * 200, condemned=60), causes(), lives(), NEEDLESS, None, SETTINGS)
    assert spring.removals[1].estimate > 3 * spring.removals[0].estimate
    assert spring.total_removals.estimate == pytest.approx(even.total_removals.estimate, rel=.03)
    assert any("evenly" in text for text in even.cautions)


def test_money_is_removals_times_the_price():
    """Counts times 1,120 (the reconditioned exchange of the worked example without days out of service), interval included; none without prices."""
    found = next_year(histories([6.0] * 100), causes(), lives(), NEEDLESS, PRICES, SETTINGS)
    assert found.total_cost.estimate == pytest.approx(1120 * found.total_removals.estimate)
    assert found.total_cost.upper == pytest.approx(1120 * found.total_removals.upper)
    assert found.price_basis == "USD 2025-06 net"
    assert next_year(histories([6.0] * 10), causes(), lives(), NEEDLESS, None, SETTINGS).cost is None


def test_interval_holds_chance_and_parameters():
    """With certain parameters the interval is Poisson's; with uncertain ones it is wider."""
    sure, unsure = (next_year(histories([6.0] * 300), causes(), lives(sd), NEEDLESS, None, SETTINGS, n_draws=4000) for sd in (1e-9, .2))
    width = sure.total_removals.upper - sure.total_removals.lower
    assert width == pytest.approx(2 * 1.645 * np.sqrt(sure.total_removals.estimate), rel=.08)
    assert unsure.total_removals.upper - unsure.total_removals.lower > 1.2 * width


def test_what_was_assumed_is_said():
    """No exchange on record, unknown origins, a report day within a quarter, no register: each is a caution; where known, none is."""
    told = next_year(histories([6.0] * 10, origin="unknown"), causes(), lives(), NEEDLESS, None, SETTINGS.model_copy(update={"as_of": dt.date(2025, 11, 15)}))
    said = " ".join(told.cautions)
    assert all(part in said for part in ("10 of 10 units in service are of unknown origin", "reconditioned ones are taken to follow", "not taken off",
                                         "taken to stay"))
    known = histories([2.0] * 10)
    known.tenures["installed_by"] = pd.array(["visit"] * 10, dtype="string")
    vehicles = tables.VEHICLES.conform(pd.DataFrame({"vehicle_id": ["V0"]}))
    assert next_year(known, causes(), lives(), NEEDLESS, None, SETTINGS, vehicles=vehicles).cautions[1:] == (
        "Too few condemned units to know the seasons: the year is spread evenly over its quarters.",)


def test_a_size_that_never_lost_a_sound_unit_has_the_rate_of_the_fleet():
    """Three vehicle-years without a needless removal do not make a rate of their own."""
    none = replace(rate(.05), group="150", events=0.0, exposure_years=3.0, rate=replace(rate(.05).rate, estimate=0.0, lower=0.0, upper=.6))
    found = next_year(histories([6.0] * 400), causes(), lives(), replace(NEEDLESS, by_size=(none,)), None, SETTINGS)
    assert found.total_needless.estimate == pytest.approx(400 * .05, rel=.05)


def test_refused_without_a_corrected_life():
    """No life, no anchored causes or no unit in service: refused with what would change it."""
    for change in ({"lives": None}, {"causes": causes(False)}, {"needless": None}, {"histories": histories([])}):
        given = {"histories": histories([6.0]), "causes": causes(), "lives": lives(), "needless": NEEDLESS, "prices": None, "settings": SETTINGS, **change}
        with pytest.raises(CannotAnswer):
            next_year(**given)


def test_no_ends_no_second_units():
    """Limiting case: where nothing ends first, nothing ends second; a unit that cannot fail is only removed needlessly."""
    units = units_in_service(histories([6.0]).tenures, pd.Timestamp("2026-01-01"))
    model, one = lives().model, np.ones((1, 12))
    first = first_ends(model, model.point[None], units, one, np.zeros(1), 0 * one)
    assert first.failures.sum() == 0
    second = second_ends(model, model.point[None], units, Expected(failures=0 * one, needless=0 * one), np.ones(12), np.ones(1), one)
    assert second.failures.sum() + second.needless.sum() == 0
