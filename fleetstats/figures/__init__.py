"""Figures: each function takes a result and an optional Axes, draws one question, computes nothing and returns the Axes."""

from fleetstats.figures.completeness import field_completeness, field_completeness_alt
from fleetstats.figures.costs import option_costs, option_costs_alt
from fleetstats.figures.quality import data_quality, data_quality_alt
from fleetstats.figures.shops import shop_funnel, shop_funnel_alt
from fleetstats.figures.spend import spend_by_quarter, spend_by_quarter_alt
from fleetstats.figures.style import page_axes, svg
from fleetstats.figures.survival import survival, survival_alt

__all__ = [
    "data_quality", "data_quality_alt", "field_completeness", "field_completeness_alt", "option_costs", "option_costs_alt", "page_axes", "shop_funnel",
    "shop_funnel_alt", "spend_by_quarter", "spend_by_quarter_alt", "survival", "survival_alt", "svg",
]
