"""Shares behind an imperfect test."""

import pytest
from statsmodels.stats.proportion import proportion_confint

from fleetstats.diagnosis.accuracy import rogan_gladen


def test_rogan_gladen_of_the_brucellosis_screening():
    """150 cows, 23 positive, sensitivity 0.96, specificity 0.89: true share 0.05098, Wilson limits -0.0066 and 0.1289.

    Rogan & Gladen (1978), Am. J. Epidemiol. 107:71-76; the example of the R package epiR (2.0.57), epi.prev. What is sought there is
    'infected'; here it is 'healthy', so its sensitivity is our specificity.
    """
    assert rogan_gladen(23 / 150, sensitivity=0.89, specificity=0.96) == pytest.approx(0.05098039216, rel=1e-4)
    low, high = proportion_confint(23, 150, alpha=0.05, method="wilson")
    assert (rogan_gladen(low, 0.89, 0.96), rogan_gladen(high, 0.89, 0.96)) == pytest.approx((-0.00658877917, 0.1289174491), rel=1e-4)
