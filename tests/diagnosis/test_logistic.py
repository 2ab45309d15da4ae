"""The logistic regression of a verdict that is sometimes wrong."""

import numpy as np
import pytest
import statsmodels.api as sm

from fleetstats.diagnosis.logistic import Verdicts, fit_logistic


def made_up(n=400, se=1.0, sp=1.0, seed=1):
    rng = np.random.default_rng(seed)
    x = np.column_stack([np.ones(n), rng.standard_normal(n), rng.integers(0, 2, n)])
    need = rng.random(n) < 1 / (1 + np.exp(-x @ np.array([0.8, -0.7, 0.5])))
    fault = np.where(need, rng.random(n) < se, rng.random(n) >= sp).astype(float)
    return Verdicts(matrix=x, fault=fault, sensitivity=np.full(n, se), specificity=np.full(n, sp))


def test_a_perfect_bench_gives_the_ordinary_logistic_regression():
    """With sensitivity and specificity 1 and no penalty: coefficients and errors of statsmodels' Logit."""
    verdicts = made_up()
    fit = fit_logistic(verdicts, np.zeros(3), np.full(3, np.inf))
    theirs = sm.Logit(verdicts.fault, verdicts.matrix).fit(disp=0)
    assert fit.point == pytest.approx(theirs.params, abs=1e-4)
    assert np.sqrt(np.diag(np.linalg.inv(fit.information))) == pytest.approx(theirs.bse, rel=1e-3)


def test_score_against_central_differences():
    """The gradient of the misclassified likelihood agrees with central differences of its value."""
    verdicts, b = made_up(se=0.9, sp=0.95), np.array([0.3, -0.4, 0.2])
    steps = 1e-5 * np.eye(3)
    numeric = [(verdicts.log_likelihood(b + s) - verdicts.log_likelihood(b - s)) / 2e-5 for s in steps]
    assert verdicts.score(b)[0] == pytest.approx(numeric, rel=1e-6)


def test_a_known_error_of_the_bench_is_taken_out():
    """20,000 verdicts of a bench right in 80 of 100 cases: coefficients near those that made them (0.8, -0.7, 0.5); the naive fit is far off."""
    verdicts = made_up(20_000, 0.8, 0.8)
    fit = fit_logistic(verdicts, np.zeros(3), np.full(3, np.inf))
    naive = sm.Logit(verdicts.fault, verdicts.matrix).fit(disp=0).params
    assert fit.point == pytest.approx([0.8, -0.7, 0.5], abs=0.15)
    assert np.abs(naive - [0.8, -0.7, 0.5]).max() > 0.25


def test_evidence_of_one_parameter_against_quadrature():
    """Laplace's evidence of a N(0, 0.5^2) intercept is within 2 % of the integral over it."""
    n, k, sd = 40, 25, 0.5
    verdicts = Verdicts(matrix=np.ones((n, 1)), fault=(np.arange(n) < k).astype(float), sensitivity=np.ones(n), specificity=np.ones(n))
    grid = np.linspace(-4, 4, 4001)
    values = np.array([verdicts.log_likelihood(np.array([b])) for b in grid]) - grid**2 / (2 * sd**2) - np.log(sd) - 0.5 * np.log(2 * np.pi)
    integral = np.log(np.exp(values).sum() * (grid[1] - grid[0]))
    assert fit_logistic(verdicts, np.zeros(1), np.array([sd])).log_evidence == pytest.approx(integral, abs=0.02)
