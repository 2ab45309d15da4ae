"""The likelihood of the corrected life: derivatives, and an independent program."""

import numpy as np
import pandas as pd
import pytest

from fleetstats.life.likelihood import derivatives, log_likelihood
from fleetstats.life.model import Covariates
from fleetstats.life.regression import LifeRows, fit_life, life_data, penalty


def rows_of_all_kinds(n: int = 60, *, reconditioned: bool = True, seed: int = 3) -> tuple[LifeRows, np.ndarray]:
    """Made-up rows with late entry, exact failures, failures in an interval and censoring, and which of them failed."""
    rng = np.random.default_rng(seed)
    r = (rng.random(n) < 0.4).astype(float) * reconditioned
    matrix = np.column_stack([np.ones(n), r, rng.integers(0, 2, n), rng.integers(0, 2, n)]).astype(float)
    exit = np.where(rng.random(n) < 0.25, rng.uniform(0.05, 0.5, n), rng.uniform(0.6, 12, n))
    entry = np.where(rng.random(n) < 0.4, exit * rng.uniform(0.1, 0.6, n), 0.0)
    at_inspection = rng.random(n) < 0.3
    last_good = np.where(at_inspection, entry + (exit - entry) * rng.uniform(0, 0.9, n), exit)
    rows = LifeRows(
        tenure_ids=np.arange(n).astype(str), covariates=Covariates(sizes=("190",), reference_size="110", hot=True), matrix=matrix, entry=entry, exit=exit,
        last_good=last_good, condemned=np.ones(n, bool), at_inspection=at_inspection,
    )
    return rows, rng.random(n) < 0.6


def test_gradient_and_hessian_against_central_differences():
    """At a random point both agree with central differences (step 1e-5) within 1e-5 of the largest entry."""
    rows, failed = rows_of_all_kinds()
    data = life_data(rows, failed)
    theta = np.array([2.1, -0.2, -0.1, 0.15, 0.5, -0.2, -1.4])
    gradient, hessian = derivatives(theta, data)
    steps = 1e-5 * np.eye(len(theta))
    by_value = np.array([(log_likelihood(theta + s, data) - log_likelihood(theta - s, data)) / 2e-5 for s in steps])
    by_gradient = np.array([(derivatives(theta + s, data)[0] - derivatives(theta - s, data)[0]) / 2e-5 for s in steps])
    assert np.abs(gradient - by_value).max() < 1e-5 * np.abs(gradient).max()
    assert np.abs(hessian - by_gradient).max() < 1e-5 * np.abs(hessian).max()


def test_one_row_of_each_kind_by_hand():
    """Contributions written out: censored -H(t)+H(a); exact log h(t)-H(t)+H(a); interval log(1-exp(-(H(t)-H(L))))-H(L)+H(a)."""
    one = np.ones((3, 1))
    rows = LifeRows(
        tenure_ids=np.array(["c", "e", "i"]), covariates=Covariates(sizes=(), reference_size="110", hot=False), matrix=np.hstack([one, one]),
        entry=np.array([1.0, 0.0, 0.2]), exit=np.array([4.0, 0.3, 5.0]), last_good=np.array([4.0, 0.3, 4.4]), condemned=np.array([False, True, True]),
        at_inspection=np.array([False, False, True]),
    )
    scale, shape, early = 8.0 * np.exp(-0.3), 1.9 * np.exp(-0.2), 0.12

    def total(t):
        return (t / scale) ** shape + early * min(t, 0.5)

    by_hand = (-total(4.0) + total(1.0)) + (np.log(shape / 0.3 * (0.3 / scale) ** shape + early) - total(0.3))
    by_hand += np.log(1 - np.exp(-(total(5.0) - total(4.4)))) - total(4.4) + total(0.2)
    theta = np.array([np.log(8.0), -0.3, np.log(1.9), -0.2, np.log(early)])
    assert log_likelihood(theta, life_data(rows, rows.condemned)) == pytest.approx(by_hand, abs=1e-10)


@pytest.mark.filterwarnings("ignore")
def test_lifelines_regression_with_entry_and_intervals_agrees():
    """Without the early term and almost without penalties: coefficients and errors of lifelines' interval-censored Weibull AFT with entry."""
    from lifelines import WeibullAFTFitter

    rows, failed = rows_of_all_kinds(500, reconditioned=False, seed=8)
    prior = penalty(4, pooled_shape=True)
    flat = type(prior)(mean=prior.mean, precision=np.array([0, 1.0, 0, 0, 0, 1, 1.0]), fixed=np.array([False, True, False, False, False, True, True]))
    ours = fit_life(life_data(rows, failed), flat)
    inside = failed & rows.at_inspection
    frame = pd.DataFrame({
        "size": rows.matrix[:, 2], "hot": rows.matrix[:, 3], "entry": rows.entry,
        "low": np.where(inside, rows.last_good, rows.exit), "high": np.where(failed, rows.exit, np.inf),
    })
    fitter = WeibullAFTFitter().fit_interval_censoring(frame, "low", "high", entry_col="entry")
    theirs, errors = fitter.params_, fitter.standard_errors_
    names = [("lambda_", "Intercept"), ("lambda_", "size"), ("lambda_", "hot"), ("rho_", "Intercept")]
    assert ours.point[[0, 2, 3, 4]] == pytest.approx([theirs[n] for n in names], abs=2e-4)
    assert np.sqrt(np.diag(ours.covariance))[[0, 2, 3, 4]] == pytest.approx([errors[n] for n in names], rel=1e-2)


def test_ages_in_another_unit_only_shift_the_log_scale():
    """Doubling every age doubles the scale and leaves shape and effects alone (no early term, no penalty that knows the unit)."""
    rows, failed = rows_of_all_kinds(300, reconditioned=False)
    prior = penalty(4, pooled_shape=True)
    double = LifeRows(**{**vars(rows), "entry": 2 * rows.entry, "exit": 2 * rows.exit, "last_good": 2 * rows.last_good})
    once, twice = fit_life(life_data(rows, failed), prior).point, fit_life(life_data(double, failed), prior).point
    assert twice[0] - once[0] == pytest.approx(np.log(2), abs=1e-6)
    assert twice[1:] == pytest.approx(once[1:], abs=1e-6)


def test_no_hill_is_higher_than_the_fit():
    """The fit is a maximum: no small step in any direction raises the penalised value."""
    rows, failed = rows_of_all_kinds(200)
    prior, data = penalty(4, pooled_shape=False), life_data(rows, failed)
    fit = fit_life(data, prior)

    def value(theta):
        return log_likelihood(theta, data) - 0.5 * prior.precision @ (theta - prior.mean) ** 2

    rng = np.random.default_rng(0)
    assert all(value(fit.point + 0.02 * rng.standard_normal(7)) < value(fit.point) for _ in range(100))
    assert fit.gradient < 1e-3
