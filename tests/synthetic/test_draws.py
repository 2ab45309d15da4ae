"""The generator's own inverse distribution functions against SciPy's."""

import numpy as np
import pytest
from scipy import stats

from fleetstats.synthetic.draws import Stream, exponential_quantile, lognormal_quantile, poisson_quantile, weibull_quantile

P = (1e-6, 0.1, 0.5, 0.9, 0.999)


@pytest.mark.parametrize("p", P)
def test_weibull(p):
    """Quantile of a Weibull law with scale 13 and shape 1.9 (scipy.stats.weibull_min.ppf)."""
    assert weibull_quantile(p, 13.0, 1.9) == pytest.approx(stats.weibull_min.ppf(p, 1.9, scale=13.0), rel=1e-12)


@pytest.mark.parametrize("p", P)
def test_lognormal(p):
    """Quantile of a lognormal law with median 12 and sigma 0.9 (scipy.stats.lognorm.ppf)."""
    assert lognormal_quantile(p, 12.0, 0.9) == pytest.approx(stats.lognorm.ppf(p, 0.9, scale=12.0), rel=1e-10)


@pytest.mark.parametrize("p", P)
def test_exponential(p):
    """Quantile of an exponential law with mean 0.2 (scipy.stats.expon.ppf)."""
    assert exponential_quantile(p, 0.2) == pytest.approx(stats.expon.ppf(p, scale=0.2), rel=1e-10)


@pytest.mark.parametrize("mean", [0.05, 0.7, 4.0])
@pytest.mark.parametrize("p", [0.0, 0.3, 0.61, 0.95, 0.9999])
def test_poisson(p, mean):
    """Quantile of a Poisson law (scipy.stats.poisson.ppf); p = 0 gives the count 0."""
    assert poisson_quantile(p, mean) == max(0, stats.poisson.ppf(p, mean))


def test_weighted_follows_the_weights():
    """20,000 picks by weight 1:3 lie within 4 standard errors of 1/4 (binomial)."""
    stream = Stream(11)
    share = np.mean([stream.weighted({"a": 1.0, "b": 3.0}) == "a" for _ in range(20000)])
    assert abs(share - 0.25) < 4 * np.sqrt(0.25 * 0.75 / 20000)


def test_the_stream_is_numpys_pcg64():
    """The values are the uniform doubles of numpy's PCG64 with that seed, in order."""
    stream, numpy_stream = Stream(3), np.random.Generator(np.random.PCG64(3))
    assert [stream.u() for _ in range(5)] == [numpy_stream.random() for _ in range(5)]


@pytest.mark.parametrize(("low", "high"), [(0, 2), (3, 3), (-2, 2)])
def test_whole_reaches_both_ends(low, high):
    """Whole numbers from low to high, both included and no other."""
    stream = Stream(5)
    assert {stream.whole(low, high) for _ in range(500)} == set(range(low, high + 1))
