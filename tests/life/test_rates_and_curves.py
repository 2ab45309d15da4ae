"""Rates per vehicle-year and the curves of the report."""

import dataclasses

import numpy as np
import pandas as pd
import pytest
from scipy.stats import chi2

from fleetstats import tables
from fleetstats.diagnosis import draw_causes
from fleetstats.errors import BeyondData, CannotAnswer
from fleetstats.life import corrected_curve, counted_curve, estimate_life, needless_rates, outside_fault_rates, survival_curve, survival_curves
from fleetstats.life.nonparametric import count_lives, quantile
from tests.life.simulated import SETTINGS, histories_of, simulate

FLEET = simulate(900, 31)
CAUSES = draw_causes(FLEET.histories, SETTINGS)
NO_VERDICT = pd.Series(pd.NA, index=FLEET.histories.tenures.index, dtype="string")
UNANCHORED = draw_causes(histories_of(FLEET.histories.tenures.assign(bench_outcome=NO_VERDICT)), SETTINGS)
LIVES = estimate_life(FLEET.histories, CAUSES, SETTINGS)
NO_SHOPS = tables.SHOPS.empty()


def with_exposure(events=0):
    """The fleet with 5 years for every vehicle at its depot and `events` complaints released at depot 7."""
    seen = FLEET.histories.tenures.groupby("vehicle_id", as_index=False).agg(depot=("depot", "first"), size_l=("size_l", "first"))
    exposure = seen.assign(years=5.0, **{"from": FLEET.histories.tenures["installed"].min(), "to": FLEET.histories.tenures["ended"].max()})
    complaints = pd.DataFrame({
        "visit_id": [f"e{i}" for i in range(events)], "vehicle_id": "v00000", "date": pd.Timestamp("2021-06-01"), "cooling_complaint": True, "size_l": 110.0,
        "shop": "shop 7", "depot": "depot 7",
    })
    more = {"component_events": tables.COMPONENT_EVENTS.check(complaints)} if events else {}
    return histories_of(FLEET.histories.tenures, exposure=tables.EXPOSURE.check(exposure), **more)


def test_needless_removals_over_vehicle_years_by_hand():
    """Mean number of needless draws over vehicles x 5 years, overall and at a shop that serves its own depot only."""
    histories = with_exposure()
    rates = needless_rates(histories, CAUSES, NO_SHOPS, SETTINGS)
    vehicles = histories.exposure["vehicle_id"].nunique()
    assert rates.overall.rate.estimate == pytest.approx(CAUSES.needless.sum(axis=1).mean() / (5 * vehicles))
    shop = next(r for r in rates.by_shop if r.group == "shop 7")
    assert shop.exposure_years == pytest.approx(5 * (histories.exposure["depot"] == "depot 7").sum())
    assert shop.rate.lower < shop.rate.estimate < shop.rate.upper
    assert sum(r.events for r in rates.by_size) == pytest.approx(rates.overall.events)


def test_removals_outside_the_vehicle_years_are_not_counted():
    """A window that ends the day before the first removal leaves no needless removal to be held against it."""
    histories = with_exposure()
    first = histories.tenures.loc[histories.tenures["ending"] == "condemned", "ended"].min()
    early = histories.exposure.assign(to=first - pd.Timedelta(days=1))
    rates = needless_rates(dataclasses.replace(histories, exposure=early), CAUSES, NO_SHOPS, SETTINGS)
    assert rates.overall.events == 0


def test_a_shop_that_serves_two_depots_is_held_against_both():
    """Declared depots count, also where the shop was not seen to work."""
    histories = with_exposure()
    shops = tables.SHOPS.check(pd.DataFrame({"shop": ["shop 7"], "serves": ["depot 7; depot 6"]}))
    shop = next(r for r in needless_rates(histories, CAUSES, shops, SETTINGS).by_shop if r.group == "shop 7")
    assert shop.exposure_years == pytest.approx(5 * histories.exposure["depot"].isin(["depot 7", "depot 6"]).sum())


def test_outside_faults_with_a_poisson_interval():
    """Without an anchor, 800 released complaints: rate 800 over vehicle-years, limits close to the exact chi-square ones (Garwood 1936, from memory)."""
    histories = with_exposure(800)
    rates = outside_fault_rates(histories, UNANCHORED, SETTINGS)
    exact = np.array([chi2.ppf(0.05, 1600), chi2.ppf(0.95, 1602)]) / 2 / histories.exposure["years"].sum()
    assert rates.misread is None
    assert rates.overall.rate.estimate == pytest.approx(800 / histories.exposure["years"].sum())
    assert [rates.overall.rate.lower, rates.overall.rate.upper] == pytest.approx(exact, rel=0.01)


def test_needless_removals_are_outside_faults_too_and_m_is_their_share():
    """rate = (released + needless) / years and m = needless / (released + needless): their product is the needless rate, and m stays within 0 to 1."""
    histories = with_exposure(800)
    needless = needless_rates(histories, CAUSES, NO_SHOPS, SETTINGS).overall
    for released in (800, 0):
        outside = outside_fault_rates(with_exposure(released), CAUSES, SETTINGS)
        assert outside.overall.events == pytest.approx(released + needless.events)
        assert outside.misread.estimate * outside.overall.rate.estimate == pytest.approx(needless.rate.estimate)
        assert 0 <= outside.misread.lower <= outside.misread.estimate <= outside.misread.upper + 0.01 <= 1.01


def test_rates_without_exposure_or_anchor_are_refused():
    """No vehicle-years, or no verdicts: no rate."""
    with pytest.raises(CannotAnswer, match="vehicle-years"):
        outside_fault_rates(FLEET.histories, CAUSES, SETTINGS)
    with pytest.raises(CannotAnswer, match="bench"):
        needless_rates(with_exposure(), UNANCHORED, NO_SHOPS, SETTINGS)


def test_the_fitted_and_the_counted_curve_tell_the_same_story():
    """New units: within each other's bands at 2, 4, 6 and 8 years, both above the curve as recorded."""
    fitted = corrected_curve(FLEET.histories, LIVES, "new", SETTINGS).table()
    counted = counted_curve(FLEET.histories, CAUSES, "new", SETTINGS).table()
    recorded = survival_curve(FLEET.histories, "new", SETTINGS).table()
    for age in (2.0, 4.0, 6.0, 8.0):
        line = np.interp(age, fitted["age_years"], fitted["survival"])
        steps = counted[counted["age_years"] <= age + 1e-6].iloc[-1]
        assert steps["lower"] <= line <= steps["upper"]
        assert line > recorded[recorded["age_years"] <= age]["survival"].iloc[-1]


def test_no_curve_goes_where_fewer_than_ten_units_are():
    """Every shown age has ten units at risk; limits enclose the curve; survival never rises."""
    for curve in survival_curves(FLEET.histories, CAUSES, LIVES, SETTINGS):
        table = curve.table()
        assert table["at_risk"].iloc[1:].min() >= 10
        assert ((table["lower"] <= table["survival"] + 1e-12) & (table["survival"] <= table["upper"] + 1e-12)).all()
        assert (table["survival"].diff().dropna() <= 1e-12).all()


def test_a_population_never_seen_has_no_curve():
    """No reconditioned unit: refused with the reason."""
    new = histories_of(FLEET.histories.tenures[FLEET.histories.tenures["origin"] == "new"])
    with pytest.raises(BeyondData, match="fewer than 10"):
        survival_curve(new, "reconditioned", SETTINGS)


def test_a_quantile_not_reached_says_so():
    """Two of ten failed: the 10 % quantile is the first failure, the median is not reached by the last."""
    counted = count_lives(np.zeros(10), np.arange(1.0, 11.0), np.arange(10) < 2)
    assert quantile(counted, 0.1).estimate == 1.0
    half = quantile(counted, 0.5)
    assert half.estimate is None
    assert "not reached by age 2" in half.method


def test_no_corrected_curve_where_the_corrected_life_is_refused():
    """Without 10 verdicts only the curve as recorded may be drawn."""
    refused = estimate_life(FLEET.histories, UNANCHORED, SETTINGS)
    assert {curve.basis for curve in survival_curves(FLEET.histories, CAUSES, refused, SETTINGS)} == {"as_recorded"}
    assert not refused.anchored
