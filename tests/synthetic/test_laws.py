"""The true life laws: drawn lives obey the survival curve that truth.json is made of."""

import numpy as np
import pytest
from scipy import stats

from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.laws import draw_life, life_at, survival
from fleetstats.synthetic.truth import life_quantiles

CASES = [(index, hot, reconditioned) for index in range(3) for hot in (False, True) for reconditioned in (False, True)]


@pytest.mark.parametrize(("index", "hot", "reconditioned"), CASES)
def test_drawn_lives_obey_the_law(scenario, index, hot, reconditioned):
    """4,000 lives against the survival curve by the Kolmogorov-Smirnov test (SciPy): the uniform transform holds."""
    size, stream = scenario.sizes[index], Stream(100 + index)
    lives = np.array([draw_life(stream, size, scenario.life, hot=hot, reconditioned=reconditioned) for _ in range(4000)])
    assert stats.kstest(survival(lives, size, scenario.life, hot=hot, reconditioned=reconditioned), "uniform").pvalue > 1e-3


def test_known_b10(scenario):
    """By hand: 13 (-ln 0.9)^(1/1.9) = 3.977 and 13 (ln 2)^(1/1.9) = 10.720 years for the middle size, new, not hot."""
    middle = scenario.sizes[1]
    found = [life_at(p, middle, scenario.life, hot=False, reconditioned=False) for p in (0.1, 0.5)]
    assert found == pytest.approx([3.977, 10.720], abs=1e-3)


def test_a_unit_seen_working_fails_later(scenario):
    """A life drawn for a unit that worked at 5 years is longer than 5 years, and obeys the law given that."""
    size, stream = scenario.sizes[1], Stream(9)
    lives = np.array([draw_life(stream, size, scenario.life, hot=False, reconditioned=False, survived_years=5.0) for _ in range(3000)])
    given, at_five = (survival(years, size, scenario.life, hot=False, reconditioned=False) for years in (lives, np.array([5.0])))
    assert lives.min() > 5.0
    assert stats.kstest(given / at_five, "uniform").pvalue > 1e-3


def test_early_defects(scenario):
    """At 0.2 years (their mean life) 1 - 1/e of the 6 % early defects have failed beside the wear of scipy.stats.weibull_min."""
    size = scenario.sizes[1]
    scale = size.scale_years * np.exp(scenario.life.reconditioned_log_ratio)
    wear = stats.weibull_min.sf(0.2, scenario.life.reconditioned_shape, scale=scale)
    found = survival(np.array([0.2]), size, scenario.life, hot=False, reconditioned=True)[0]
    assert found == pytest.approx(wear * (1 - 0.06 * (1 - np.exp(-1))), rel=1e-12)


@pytest.mark.parametrize("reconditioned", [False, True])
def test_truth_of_the_fleet_by_simulation(world, reconditioned):
    """B10 and B50 of the truth against the quantiles of 40 lives drawn for each vehicle in service (4 standard errors)."""
    here = [vehicle for vehicle in world.vehicles if vehicle.survey is not None and (vehicle.left is None or vehicle.left > world.end)]
    stream = Stream(21)
    lives = np.array([draw_life(stream, vehicle.size, world.scenario.life, hot=vehicle.depot.hot, reconditioned=reconditioned)
                      for vehicle in here for _ in range(40)])
    said = life_quantiles(world, reconditioned=reconditioned)
    for share, years in ((0.1, said["b10_years"]), (0.5, said["b50_years"])):
        assert abs(np.mean(lives <= years) - share) < 4 * np.sqrt(share * (1 - share) / len(lives))
