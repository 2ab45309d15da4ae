"""What the coming quarters will need."""

from fleetstats.budget.next_year import NextYear, next_year

__all__ = ["NextYear", "next_year"]
